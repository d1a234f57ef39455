package web

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"fmt"
	"io/fs"
	"net/http"
	"path"
	"time"
)

// The files of the page. They hold no data: the script asks for those, so that no
// text of a source ever becomes part of a page.
//
//go:embed static
var static embed.FS

// kinds of files that a page is made of. A file of another kind is an oversight.
var kinds = map[string]string{
	".html": "text/html; charset=utf-8",
	".css":  "text/css; charset=utf-8",
	".js":   "text/javascript; charset=utf-8",
	".svg":  "image/svg+xml",
	".txt":  "text/plain; charset=utf-8",
}

// addPage serves each file under its own path and no other, and index.html as the
// page itself.
func addPage(m *http.ServeMux) error {
	files, err := fs.Sub(static, "static")
	if err != nil {
		return fmt.Errorf("page: %w", err)
	}
	return fs.WalkDir(files, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		content, err := fs.ReadFile(files, name)
		if err != nil {
			return fmt.Errorf("page: %w", err)
		}
		kind, known := kinds[path.Ext(name)]
		if !known {
			return fmt.Errorf("page: nobody knows what kind of file %s is; add its ending to the kinds", name)
		}
		at := "/" + name
		if name == "index.html" {
			at = "/{$}"
		}
		m.Handle("GET "+at, pageFile(kind, content))
		return nil
	})
}

// pageFile serves one file. Embedded files have no date, so a tag made of the
// content tells a browser that it has the newest.
func pageFile(kind string, content []byte) http.HandlerFunc {
	tag := fmt.Sprintf(`"%x"`, sha256.Sum256(content))
	return func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", kind)
		w.Header().Set("Cache-Control", "no-cache")
		w.Header().Set("ETag", tag)
		http.ServeContent(w, r, "", time.Time{}, bytes.NewReader(content))
	}
}
