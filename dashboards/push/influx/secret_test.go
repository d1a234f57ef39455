package influx

import (
	"io"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Whatever goes wrong, and whatever the server says back, no secret is in the log, in
// the status, or in what is put aside.
func TestS13SecretsAreSaidNowhere(t *testing.T) {
	dir := t.TempDir()
	for file, text := range map[string]string{"token": "canary-token", "password": "canary-password"} {
		require.NoError(t, os.WriteFile(filepath.Join(dir, file), []byte(text), 0o600))
	}
	for name, s := range map[string]*Server{
		"token":    {Org: "a", Bucket: "b", TokenFile: filepath.Join(dir, "token")},
		"password": {Database: "b", User: "amphora", PasswordFile: filepath.Join(dir, "password")},
		"missing":  {Database: "b", TokenFile: filepath.Join(dir, "missing")},
	} {
		for _, status := range []int{307, 400, 401, 500} {
			t.Run(name+" "+http.StatusText(status), func(t *testing.T) {
				t.Parallel()
				calls := 0
				server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
					if calls++; status == 400 && calls == 1 {
						w.WriteHeader(http.StatusNoContent) // so that it is no stranger
						return
					}
					w.Header().Set("Location", "http://elsewhere.example/?"+r.Header.Get("Authorization"))
					w.WriteHeader(status)
					_, _ = io.WriteString(w, `{"message":"no: `+r.Header.Get("Authorization")+` at `+r.RequestURI+`"}`)
				}))
				defer server.Close()
				one := *s
				one.URL, one.Age = server.URL+"/canary-path?key=canary-query", time.Millisecond
				h := newHouse(t, nil, "a")
				h.sink.Close()
				h.server = &one
				h.open()
				testhelp.Until(t, "something to go wrong", func() bool {
					h.measureAtOnce(1)
					return h.sink.Status().Failures+h.sink.Status().Refused > 0
				})
				h.sink.Close()
				st := h.sink.Status()
				seen := strings.Join(h.log.Lines(), "\n") + st.Why + st.Name
				assert.NotEmpty(t, h.log.Lines())
				err := filepath.WalkDir(h.dir, func(path string, d os.DirEntry, err error) error {
					if err == nil && !d.IsDir() {
						b, err := os.ReadFile(path)
						require.NoError(t, err)
						seen += path + string(b)
					}
					return err
				})
				require.NoError(t, err)
				assert.NotContains(t, seen, "canary")
				assert.NotContains(t, seen, "YW1waG9yYTpjYW5hcnk", "the password in base64")
			})
		}
	}
}
