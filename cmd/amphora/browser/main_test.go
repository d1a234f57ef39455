//go:build linux

package browser

import (
	"context"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"amphora/dashboards/testhelp"

	"github.com/chromedp/chromedp"
)

var (
	// binary is the built program.
	binary string
	// browser is what every tab is opened in.
	browser context.Context
)

func TestMain(m *testing.M) {
	flag.Parse()
	// The tests mostly wait, so more of them may do that at a time than there are
	// processors.
	if err := flag.Set("test.parallel", "4"); err != nil {
		panic(err) // the flag is part of every test program
	}
	os.Exit(withBrowser(m))
}

// withBrowser builds the program, starts the browser and runs the tests. Without a
// browser there is nothing to build for.
func withBrowser(m *testing.M) int {
	path, err := exec.LookPath("chromium")
	if err != nil {
		return m.Run()
	}
	dir, err := os.MkdirTemp("", "amphora-browser-")
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	defer os.RemoveAll(dir)
	binary = filepath.Join(dir, "amphora")
	if out, err := exec.Command("go", "build", "-o", binary, "amphora/cmd/amphora").CombinedOutput(); err != nil {
		fmt.Fprintf(os.Stderr, "building the program: %v\n%s", err, out)
		return 1
	}
	stop, err := startBrowser(path, filepath.Join(dir, "profile"))
	if err != nil {
		fmt.Fprintf(os.Stderr, "starting %s: %v\n", path, err)
		return 1
	}
	defer stop()
	return m.Run()
}

// startBrowser starts the one browser. It needs no sandbox since it sees nothing but
// our own page, and root could have none.
func startBrowser(path, profile string) (stop func(), err error) {
	options := append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.ExecPath(path), chromedp.NoSandbox, chromedp.DisableGPU, chromedp.UserDataDir(profile), chromedp.Flag("disable-quic", true))
	allocator, end := chromedp.NewExecAllocator(context.Background(), options...)
	browser, _ = chromedp.NewContext(allocator) // the allocator's end is that of all in it
	if err := chromedp.Do(browser); err != nil {
		end()
		return nil, err
	}
	return end, nil
}

// needBrowser skips a test, or fails it, where there is no browser.
func needBrowser(t testing.TB) {
	t.Helper()
	if browser != nil {
		return
	}
	testhelp.Lacking(t, "chromium is needed here: install Debian's package of that name")
}
