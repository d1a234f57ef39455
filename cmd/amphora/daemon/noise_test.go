package daemon

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
)

// A heading in any script is kept, for it names what comes; bytes by chance are not.
func TestWhatIsWrittenIsNoNoise(t *testing.T) {
	for _, line := range []string{
		"时间,电压 (V),电流 (A)", "Время;Напряжение;Ток", "│ 0:00:05 │ 12,61 V │ 0,00 A │", "12.61 V 24.1 \xb0C", "0:05,12.61,3.40",
	} {
		assert.False(t, isNoise([]byte(line)), line)
	}
	chance := rand.New(rand.NewPCG(3, 9))
	kept := 0
	for range 1000 {
		line := make([]byte, 8+chance.IntN(40))
		for k := range line {
			line[k] = byte(chance.Uint32())
		}
		if !isNoise(line) {
			kept++
		}
	}
	assert.Less(t, kept, 30)
}
