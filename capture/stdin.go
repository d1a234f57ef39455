package capture

import (
	"context"
	"io"
)

// Stdin is standard input, or another reader that ends for good. After its end
// Run returns ErrEnded. As of a log, a line of it is never closed by silence, nor is
// one of a pipe or a command: programs write there in blocks, and the end of a line
// comes with the next one.
func Stdin(in io.ReadCloser) Source {
	return Source{
		Name: "stdin",
		Open: func(context.Context) (Stream, error) { return input{newPump(in)}, nil },
		Ends: true,
	}
}

type input struct{ *pump }

func (input) String() string { return "standard input" }
