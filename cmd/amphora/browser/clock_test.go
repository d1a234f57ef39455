//go:build linux

package browser

import (
	order "encoding/binary"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"amphora/analyze/madeup"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/require"
)

// pointedAt is what the legend says of the middle of the first curve, where a mouse is moved to.
const pointedAt = `(() => {
	const over = document.querySelector(".u-over"), at = over?.getBoundingClientRect();
	const there = { bubbles: true, clientX: at?.left + at?.width / 2, clientY: at?.top + at?.height / 2 };
	for (const kind of ["mouseenter", "mousemove"]) over?.dispatchEvent(new MouseEvent(kind, there));
	return document.querySelector(".legend").textContent;
})()`

// host is one whose clock a test sets: the program of the place is built with the clock of the
// soak, which is off the real one by what stands in a file.
type host struct {
	t    testing.TB
	file *os.File
}

func (w *place) onHost(t testing.TB) *host {
	t.Helper()
	dir := t.TempDir()
	clock, err := filepath.Abs("../e2e/testdata/clock_host.go")
	require.NoError(t, err)
	inPlaceOf, err := filepath.Abs("../../../capture/clock_host.go")
	require.NoError(t, err)
	overlay, err := json.Marshal(map[string]map[string]string{"Replace": {inPlaceOf: clock}})
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "overlay.json"), overlay, 0o600))
	w.program = filepath.Join(dir, "amphora")
	out, err := exec.Command("go", "build", "-overlay", filepath.Join(dir, "overlay.json"), "-o", w.program, "amphora/cmd/amphora").CombinedOutput()
	require.NoError(t, err, "%s", out)
	h := &host{t: t}
	h.file, err = os.Create(filepath.Join(dir, "clock"))
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, h.file.Close()) })
	w.env = append(w.env, "SOAK_CLOCK="+h.file.Name())
	h.set(time.Now())
	return h
}

// set sets its clock; no time passes by that.
func (h *host) set(to time.Time) {
	h.t.Helper()
	offset := make([]byte, 24) // of the clock, of the time since the boot, and how many boots there were
	order.NativeEndian.PutUint64(offset, uint64(time.Until(to)))
	_, err := h.file.WriteAt(offset, 0)
	require.NoError(h.t, err)
}

// A host without a battery for its clock begins in 1970. The page says so until the network
// sets it, whatever else there is to say, and then shows when the charge really began.
func TestNowSaysThatTheClockIsNotSet(t *testing.T) {
	t.Parallel()
	at, m := newPlace(t), newMeter(t, madeup.Named("mower-float"))
	h := at.onHost(t)
	h.set(time.Unix(40, 0))
	at.channel("bench", m, "limits: {silence: 10h}", "chemistry: lead-agm", "capacity: 18Ah")
	at.channels = append(at.channels, "  - name: shed\n    source: {serial: {port: /dev/ttyUSB97}}\n")
	p := at.serve(t)
	b := openTab(t, p.page, 1280, "light")
	b.mayLack() // the rows of a charge that is not in the logbook yet, asked for again later
	const unset = "clock of amphora's computer is not set"
	saysBoth := func(how string) string {
		return `[...document.querySelectorAll(".health summary")].` + how + `(e => e.textContent.includes("` + unset + `"))`
	}
	b.wait(`document.querySelectorAll(".health summary").length === 2 && ` + saysBoth("every"))
	b.wait(`document.body.textContent.includes("Source: open /dev/ttyUSB97")`)
	m.sayUntil(12_000)
	b.waitText(".sentence", "Filling with 2.00 A")
	b.wait(saysBoth("every"))
	doneAbout := `document.querySelector(".sentence").textContent.match(/Done about (.*?),/)?.[1]`
	b.wait(`/^\d+\sh\s\d\d\smin\sin$/.test(` + doneAbout + `)`) // of the log, for nobody knows the time of day
	b.wait(`/\d h \d\d min$/.test(` + pointedAt + `)`)

	h.set(time.Now())
	m.sayUntil(12_060)
	b.wait("!(" + saysBoth("some") + ")")
	testhelp.Until(t, "the right date of the charge", func() bool { return time.Since(*p.view("bench").Session.Started) < 5*time.Hour })
	b.waitText(".sentence", "Filling with 2.00 A")
	b.wait(`!/\sin$/.test(` + doneAbout + ` ?? " in")`)
	b.wait(`/\b20\d\d\b/.test(` + pointedAt + `)`)
}
