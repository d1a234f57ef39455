package capture

import (
	"context"
	"io"
)

// Stdin is standard input, or another reader that ends for good. After its end
// Run returns ErrEnded.
func Stdin(in io.ReadCloser) Source {
	return Source{
		Name: "stdin",
		Open: func(context.Context) (Stream, error) { return input{newPump(in)}, nil },
		Ends: true,
	}
}

type input struct{ *pump }

func (input) String() string { return "standard input" }
