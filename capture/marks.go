package capture

import (
	"errors"
	"strings"
)

// Marks are for people who read the journal. These are the words of them that the program
// goes by itself, where there are two meters behind the name of one.
const (
	// WriterGone begins the remark that a pipe's writer has ended. The next one may begin with
	// what was said already, as a source may that was lost.
	WriterGone = "the writer closed the pipe"

	// AtByte stands in the mark of a log that was opened, and in that of nothing else: the lines
	// behind it can be read again.
	AtByte = " at byte "

	Hint        = "hint: "
	HintLost    = Hint + "lost"       // again and again, each time soon after it was opened
	HintNoise   = Hint + "bytes come" // that are no lines
	WrongDevice = "wrong device: "
)

// Why a source was lost as it should be.
const (
	stopped  = "stopped" // Run was told to end
	atItsEnd = "ended"
)

// errSlept is why a port is opened anew that nobody has lost.
var errSlept = errors.New("the host slept")

// Orderly says whether nothing is amiss where a source was lost for such a reason.
func Orderly(why string) bool {
	return strings.HasSuffix(why, stopped) || strings.HasSuffix(why, atItsEnd) || strings.HasSuffix(why, errSlept.Error())
}
