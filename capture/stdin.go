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

// Input is a reader of which one source after the other reads on, as standard input when one
// configuration takes the place of another: nobody can take back from it what was read already,
// or is being waited for.
type Input struct {
	from io.Reader
	pump *pump
	half bool // what was given last ended inside a line
}

// NewInput is one of which nothing has been read yet. It is never closed.
func NewInput(from io.Reader) *Input { return &Input{from: from} }

// Source is the next source to read on. The one before it must have been left.
func (i *Input) Source() Source {
	s := Stdin(nil)
	s.Open = func(context.Context) (Stream, error) {
		if i.pump == nil {
			i.pump = newPump(io.NopCloser(i.from))
		}
		return turnOf{i}, nil
	}
	return s
}

// turnOf is an Input while a source reads it.
type turnOf struct{ of *Input }

func (t turnOf) midway() bool { return t.of.half }

func (t turnOf) Read(p []byte) (int, error) {
	n, err := t.of.pump.Read(p)
	if n > 0 {
		t.of.half = p[n-1] != '\n' && p[n-1] != '\r'
	}
	return n, err
}

func (t turnOf) Close() error   { return nil }
func (t turnOf) String() string { return input{}.String() }
