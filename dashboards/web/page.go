package web

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"fmt"
	"net/http"
	"time"
)

//go:embed static
var static embed.FS

// The files of the page, by path and kind. They hold no data: the script asks
// for those, so that no text of a source ever becomes part of a page.
var pageFiles = map[string][2]string{
	"/{$}":      {"index.html", "text/html; charset=utf-8"},
	"/page.css": {"page.css", "text/css; charset=utf-8"},
	"/page.js":  {"page.js", "text/javascript; charset=utf-8"},
	"/icon.svg": {"icon.svg", "image/svg+xml"},
}

// addPage serves each file under its path and no other. Embedded files have no
// date, so a tag made of the content tells a browser that it has the newest.
func addPage(m *http.ServeMux) error {
	for path, file := range pageFiles {
		content, err := static.ReadFile("static/" + file[0])
		if err != nil {
			return fmt.Errorf("page: %w", err)
		}
		tag := fmt.Sprintf(`"%x"`, sha256.Sum256(content))
		m.HandleFunc("GET "+path, func(w http.ResponseWriter, r *http.Request) {
			w.Header().Set("Content-Type", file[1])
			w.Header().Set("Cache-Control", "no-cache")
			w.Header().Set("ETag", tag)
			http.ServeContent(w, r, "", time.Time{}, bytes.NewReader(content))
		})
	}
	return nil
}
