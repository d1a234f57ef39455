package daemon

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

// A block of lines is waited for until it has come again a few times: of the first two it is not
// seen yet that each brings its time.
func TestABlockIsWaitedForUntilItHasComeAgain(t *testing.T) {
	var f fitting
	for k := range 12 {
		for n, text := range []string{
			fmt.Sprintf("UBAT=%d", 12700+k), fmt.Sprintf("IBAT=%d", 900+k%2), "UPV=33100", "END", fmt.Sprintf("TIME=%d", 1796000005+5*k),
		} {
			at := float64(5*k) + float64(n)/100
			f.keep(line{at: at, wall: time.Unix(1796000000, 0).Add(time.Duration(at * 1e9))}, []byte(text))
			if setting, ok := f.try(0); ok {
				assert.Equal(t, "labelled pair=yes voltage=ubat:mV current=ibat:mA stamp=time:unix", setting)
				return
			}
		}
	}
	assert.Fail(t, "no decoder was found")
}
