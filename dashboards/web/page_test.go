package web

import (
	"io/fs"
	"net/http"
	"path"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// mostOfPage is how much a browser may have to fetch in all, bytes.
const mostOfPage = 300_000

// eachFile calls look with every file of the page.
func eachFile(t *testing.T, look func(name string, content []byte)) {
	t.Helper()
	files := 0
	require.NoError(t, fs.WalkDir(static, "static", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		content, err := static.ReadFile(name)
		files++
		look(strings.TrimPrefix(name, "static"), content)
		return err
	}))
	require.Greater(t, files, 10)
}

func TestPageIsSmall(t *testing.T) {
	total := 0
	eachFile(t, func(_ string, content []byte) { total += len(content) })
	t.Logf("%d bytes in all", total)
	assert.Less(t, total, mostOfPage)
}

func TestPageIsSentOnce(t *testing.T) {
	b := newBench(t)
	eachFile(t, func(name string, content []byte) {
		if name == "/index.html" {
			assert.Equal(t, http.StatusNotFound, b.ask("GET", name, "").Code, "it has one address")
			name = "/"
		}
		w := b.ask("GET", name, "")
		require.Equal(t, http.StatusOK, w.Code, name)
		assert.Equal(t, string(content), w.Body.String())
		assert.NotContains(t, w.Header().Get("Content-Type"), "octet-stream", name)
		tag := w.Header().Get("ETag")
		require.NotEmpty(t, tag, name)
		w = b.ask("GET", name, "", "If-None-Match", tag)
		assert.Equal(t, http.StatusNotModified, w.Code, name)
		assert.Zero(t, w.Body.Len())
	})
}

// Text of a source or of a person never becomes markup, and nothing comes from
// another place. What others wrote is held to the policy by the browser.
func TestPageIsOfOnePiece(t *testing.T) {
	forbidden := map[string][]string{
		".html": {"http:", "https:", "//", " style=", "<style", " onload", " onclick", "<script>", "javascript:"},
		".js":   {"innerHTML", "outerHTML", "insertAdjacentHTML", "document.write", "eval(", "http:", "https:", "new Function", "setAttribute(\"style\""},
		".css":  {"url(", "@import"},
	}
	eachFile(t, func(name string, content []byte) {
		if strings.HasPrefix(name, "/vendor/") {
			return
		}
		for _, words := range forbidden[path.Ext(name)] {
			assert.NotContains(t, string(content), words, name)
		}
	})
}
