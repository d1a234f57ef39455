//go:build linux

package browser

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var (
	pictures = flag.String("pictures", "", "make the pictures of the page anew in this folder")
	keepUp   = flag.Duration("household", 0, "keep the page of an invented household up for so long, to look at it oneself")
)

// TestPictures makes the pictures that README.md shows, on request.
func TestPictures(t *testing.T) {
	if *pictures == "" {
		t.Skip("asked for with -pictures FOLDER")
	}
	p := household(t)
	two := boats(t, p)
	for _, c := range []struct {
		name, hash, ready string
		width             int
		scheme            string
	}{
		{"now", "#/now", ".curve canvas", 1280, "light"},
		{"now-phone", "#/now", ".curve canvas", 390, "dark"},
		{"nights", "#/nights", ".strip", 1280, "light"},
		{"night", "#/nights/" + two[0], ".curve canvas", 1280, "dark"},
		{"overlay", "#/nights/" + two[0] + "/" + two[1], ".curve canvas", 1280, "light"},
	} {
		b := openTab(t, p.page+c.hash, c.width, c.scheme)
		b.wait("document.querySelector(" + quoted(c.ready) + ")")
		b.stamp("invented data")
		time.Sleep(time.Second) // for the last stroke on the canvas, which no event tells
		picture := b.picture()
		assert.Less(t, len(picture), 120_000, c.name)
		require.NoError(t, os.WriteFile(filepath.Join(*pictures, c.name+".webp"), picture, 0o600))
	}
}

// stamp writes over the page what it is.
func (b *tab) stamp(text string) {
	b.t.Helper()
	eval[bool](b, fmt.Sprintf(`((e) => {
		e.textContent = %s;
		Object.assign(e.style, { position: "fixed", top: "1.1rem", left: "50%%", transform: "translateX(-20%%)", padding: "0 .7rem", border: "1px solid", borderRadius: "1rem", fontSize: ".8rem" });
		document.body.append(e);
		return true;
	})(document.createElement("p"))`, quoted(text)))
}

// picture is what the window shows.
func (b *tab) picture() []byte {
	b.t.Helper()
	got, err := chromedp.Call(b.ctx, page.CaptureScreenshot, page.CaptureScreenshotParams{Format: page.CaptureScreenshotFormatWebp, Quality: new(int64(80))})
	require.NoError(b.t, err)
	return got.Data
}

// TestKeepUp keeps the pages of invented households up, on request.
func TestKeepUp(t *testing.T) {
	if *keepUp == 0 {
		t.Skip("asked for with -household 10m")
	}
	_, err := os.Stderr.WriteString(household(t).page + "\n" + troubled(t).page + " (where much goes wrong)\n")
	require.NoError(t, err)
	time.Sleep(*keepUp)
}
