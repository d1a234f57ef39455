package plot

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func written(list []tick) (s []string) {
	for _, t := range list {
		s = append(s, t.text)
	}
	return s
}

func TestTimeIsMarkedInRoundSteps(t *testing.T) {
	for _, c := range []struct {
		low, high float64
		unit      string
		want      []string
	}{
		{0, 60, "s", []string{"0", "5", "10", "15", "20", "25", "30", "35", "40", "45", "50", "55", "60"}},
		{0, 600, "min", []string{"0", "1", "2", "3", "4", "5", "6", "7", "8", "9", "10"}},
		{600, 3600, "min", []string{"10", "15", "20", "25", "30", "35", "40", "45", "50", "55", "60"}},
		{0, 7200, "h", []string{"0.00", "0.25", "0.50", "0.75", "1.00", "1.25", "1.50", "1.75", "2.00"}},
		{7200, 40_000, "h", []string{"2", "3", "4", "5", "6", "7", "8", "9", "10", "11"}},
		{0, 4 * 86400, "h", []string{"0", "12", "24", "36", "48", "60", "72", "84", "96"}},
		{0, 100 * 86400, "h", []string{"0", "240", "480", "720", "960", "1200", "1440", "1680", "1920", "2160", "2400"}},
	} {
		unit, list := scale{low: c.low, high: c.high}.timeTicks()
		assert.Equal(t, c.unit, unit)
		assert.Equal(t, c.want, written(list))
	}
}

func TestValuesAreMarkedInRoundSteps(t *testing.T) {
	s := scale{low: -0.13, high: 0.26}
	assert.Equal(t, []string{"-0.1", "0.0", "0.1", "0.2"}, written(s.ticks(roundStep(s.high-s.low, 6), 1)))
	s = scale{low: 10.1, high: 14.9}
	assert.Equal(t, []string{"11", "12", "13", "14"}, written(s.ticks(roundStep(s.high-s.low, 6), 1)))
	s = scale{low: 1e17, high: 1e17 + 64}
	assert.LessOrEqual(t, len(s.ticks(1, 1)), 101, "no step is lost in rounding for ever")
}
