package web

import (
	"crypto/sha256"
	"embed"
	"fmt"
	"io"
	"io/fs"
	"net/http"
	"path"
	"sync"
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
		kind, known := kinds[path.Ext(name)]
		if !known {
			return fmt.Errorf("page: nobody knows what kind of file %s is; add its ending to the kinds", name)
		}
		at := "/" + name
		if name == "index.html" {
			at = "/{$}"
		}
		m.Handle("GET "+at, &pageFile{files, name, kind, sync.OnceValues(func() (string, error) { return tagOf(files, name) })})
		return nil
	})
}

// pageFile serves one file from where it lies in the program: a recorder at whose
// page nobody looks must not hold it in memory. Embedded files have no date, so a
// tag made of the content tells a browser that it has the newest.
type pageFile struct {
	files      fs.FS
	name, kind string
	tag        func() (string, error)
}

func (p *pageFile) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	tag := ""
	file, err := p.files.Open(p.name)
	if err == nil {
		defer file.Close()
		tag, err = p.tag()
	}
	content, seeks := file.(io.ReadSeeker) // what is embedded does
	if err != nil || !seeks {
		problemf(http.StatusInternalServerError, "this file of the page cannot be read").write(w)
		return
	}
	w.Header().Set("Content-Type", p.kind)
	w.Header().Set("Cache-Control", "no-cache")
	w.Header().Set("ETag", tag)
	http.ServeContent(w, r, "", time.Time{}, content)
}

func tagOf(files fs.FS, name string) (string, error) {
	content, err := fs.ReadFile(files, name)
	return fmt.Sprintf(`"%x"`, sha256.Sum256(content)), err
}
