package capture

import (
	"fmt"
	"os"
	"os/exec"
	"testing"
	"time"

	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A host cannot be put to sleep for a test. A name space whose boot clock is ahead, and
// whose other one is not, is what a program sees after a sleep.
func TestBootClockGoesOnInASuspend(t *testing.T) {
	const asked = "AMPHORA_TELL_CLOCKS"
	if os.Getenv(asked) != "" {
		var c SystemClock
		fmt.Printf("slept %d\n", int64((c.Boot()-c.Awake())/time.Hour))
		return
	}
	slept := exec.Command(testhelp.Needed(t, "unshare", "util-linux"), "-rT", "--boottime", fmt.Sprint(100*3600+60), "--fork",
		os.Args[0], "-test.run", "^"+t.Name()+"$")
	slept.Env = append(os.Environ(), asked+"=1")
	out, err := slept.CombinedOutput()
	if err != nil {
		testhelp.Lacking(t, "no clock can be moved here: "+string(out))
	}
	before := (SystemClock{}.Boot() - SystemClock{}.Awake()) / time.Hour
	require.GreaterOrEqual(t, before, time.Duration(0))
	assert.Contains(t, string(out), fmt.Sprintf("slept %d\n", 100+before))
}
