package capture

import (
	"fmt"
	"time"
)

// Spoken writes how long something has lasted as the rest of the program does: 45 s, 2 min 03 s, 8 h 05 min. Marks
// in the journal keep Go's own way, which is exact to the second.
func Spoken(d time.Duration) string {
	s := int(d.Round(time.Second) / time.Second)
	if s >= 3600 {
		s = int(d.Round(time.Minute) / time.Second)
		return fmt.Sprintf("%d h %02d min", s/3600, s/60%60)
	}
	if s >= 60 {
		return fmt.Sprintf("%d min %02d s", s/60, s%60)
	}
	return fmt.Sprintf("%d s", s)
}
