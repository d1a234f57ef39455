package daemon

import (
	"bytes"
	"slices"

	"amphora/decoders"
)

// fitting collects the first lines of a source that nobody said how to decode,
// and tries to fit a decoder to them: at first after a few lines, then each time
// their number has grown by half, so that a person sees figures soon, and a
// source that talks much before it measures is understood in the end.
type fitting struct {
	lines []line
	texts [][]byte
	head  []byte // what is left of a header that may be cut
	size  int
	nextN int
	why   error // the last refusal
	told  bool  // the lines that were fitted tell which way the current counts
	named bool  // names or units tell which values are voltage and current

	doubted bool // another meaning of the values comes near

	share      float64 // of the lines, those that decode
	confidence float64
}

const (
	fitFirst = 8
	fitPairs = 4   // readings of lines of their own: how a block goes on shows in no fewer
	fitShare = 0.6 // of the lines that must decode; else more are waited for
	fitMost  = 4000
	fitBytes = 512 << 10
)

func (f *fitting) keep(l line, text []byte) {
	if len(f.lines) >= fitMost || f.size > fitBytes {
		f.halve()
	}
	f.lines = append(f.lines, l)
	f.texts = append(f.texts, bytes.Clone(text))
	f.size += len(text)
}

// halve gives the older half up: still nothing, and the journal has it.
func (f *fitting) halve() {
	half := len(f.lines) / 2
	f.lines, f.texts, f.size = slices.Clone(f.lines[half:]), slices.Clone(f.texts[half:]), f.size/2
	f.nextN = len(f.lines) + len(f.lines)/2
}

// try fits, if it is time to; only is the one quantity that the source brings, 0
// for both. It reports the setting found.
func (f *fitting) try(only decoders.Quantity) (setting string, ok bool) {
	if f.nextN == 0 {
		f.nextN = fitFirst
	}
	if len(f.texts) < f.nextN {
		return "", false
	}
	f.nextN += f.nextN/2 + 1
	return f.now(only)
}

// now fits all lines that are kept.
func (f *fitting) now(only decoders.Quantity) (setting string, ok bool) {
	texts := f.texts
	if f.head != nil {
		texts = append([][]byte{f.head}, texts...)
	}
	last := f.lines[len(f.lines)-1]
	o := decoders.Options{Live: true, Span: last.at - f.lines[0].at, Today: float64(last.wall.Unix()), Only: only}
	fitted, err := guarded(func() (*decoders.Fitted, error) { return decoders.Fit(texts, o) })
	f.why = err
	if err != nil || fitted.Share < fitShare || fitted.Layout.Pair && len(f.read(fitted.Setting)) < fitPairs {
		return "", false
	}
	f.told, f.named, f.doubted = fitted.Told, fitted.Named, fitted.RunnerUp != ""
	f.share, f.confidence = fitted.Share, fitted.Confidence
	return fitted.Setting, true
}

// heading is what names the rows, if anything does: the line before the first of them, or
// what is left of it. Who looks again at later rows reads them by the same names.
func (f *fitting) heading() []byte {
	head := f.head
	for _, text := range f.texts {
		if decoders.MayBeRow(text) {
			break
		}
		if len(bytes.TrimSpace(text)) > 0 {
			head = text
		}
	}
	return bytes.Clone(head)
}

// drain gives out the lines that waited, in order, and forgets them.
func (f *fitting) drain(each func(line, []byte)) {
	lines, texts := f.lines, f.texts
	*f = fitting{}
	for k := range lines {
		each(lines[k], texts[k])
	}
}

// read gives what the lines say with a setting.
func (f *fitting) read(setting string) (rows []pair) {
	l, err := decoders.Parse(setting)
	if err != nil {
		return nil
	}
	stream, err := decoders.NewStream(l)
	if err != nil {
		return nil
	}
	for k, text := range f.texts {
		if s, err := stream.Line(text, f.lines[k].at, 0); err == nil {
			rows = append(rows, pair{s.Volts, s.Amps})
		}
	}
	return rows
}
