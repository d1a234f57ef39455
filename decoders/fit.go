package decoders

import (
	"bytes"
	"cmp"
	"fmt"
	"math"
	"slices"
)

// Options tell Fit what the user has stated.
type Options struct {
	Interval float64  // s between rows (--interval), 0 if not stated
	Live     bool     // lines are stamped on arrival, so a log without times will do
	Span     float64  // s that a live source took to send the lines, 0 where nobody knows
	Today    float64  // s since 1970 at which a live source sent its last line, 0 where nobody knows
	Only     Quantity // Volts or Amps: the source brings this one alone; 0 (Time) for both
}

// Fitted is the decoder that was chosen and why.
type Fitted struct {
	Layout     *Layout
	Setting    string   // for --decoder and configuration; Parse reads it back
	Columns    string   // "time_s, voltage_V, current_A"
	Confidence float64  // 0 to 1
	Share      float64  // of the lines that are not blank, those that decode
	Evidence   []string // plain words, a field each
	RunnerUp   string   // the setting of the next best, "" where nothing comes near
	Difference string   // what would differ with it
	Told       bool     // the lines tell which way the current counts; else positive is taken as charging
	Named      bool     // names or units tell which values are voltage and current; else their behaviour does
	score      float64
	stated     bool // by a header, and by which way the current counts: more lines would not change it
}

// Unfit is the error of Fit. It wraps ErrUndecodable.
type Unfit struct {
	Found string // what was seen
	Need  string // what would settle it, with the flag
	near  int    // how near it came: the nearest is worth telling
	sure  bool   // names say that the lines are so: what else they might be counts for nothing
}

// Error says what was found and what to do.
func (e *Unfit) Error() string {
	return "the lines cannot be decoded: " + e.Found + "; " + e.Need
}

// Unwrap gives ErrUndecodable.
func (e *Unfit) Unwrap() error { return ErrUndecodable }

// Fit picks the decoder and the meaning of its values from a sample of lines,
// without their ends. A live source that has shown little yet gives a low
// Confidence, under about a half: ask again with more lines. The error is an
// *Unfit.
func Fit(lines [][]byte, o Options) (*Fitted, error) {
	all := underOne(unmark(lines))
	s := &sample{lines: undamaged(all), all: all}
	check, evidence := findChecksum(dataLines(s.lines))
	if check != "" {
		s = s.through(func(lines [][]byte) [][]byte { return stripped(lines, check) })
	}
	var typeset bool
	s.lines, typeset = plainLines(s.lines)
	s.all, _ = plainLines(s.all)
	best, nearest := fitSample(s, o)
	best = fitGrouped(s, o, best)
	if best == nil {
		if nearest == nil {
			nearest = &Unfit{Found: nothingSeen(lines), Need: `give --decoder, for instance 'columns separator=comma time=1:s voltage=2:V current=3:A' or 'pattern (?P<voltage>[\d.]+) V'`}
		}
		return nil, nearest
	}
	best.Layout.Checksum, best.Layout.Typeset = check, typeset
	if typeset {
		best.Evidence = append(best.Evidence, "rows have signs of typeset text, which are read as plain ones")
	}
	if check != "" {
		best.Evidence = append(best.Evidence, evidence)
	}
	best.direct(lines, o.Live)
	return best.finish(lines)
}

// FitBriefly is Fit for who asks for no evidence: it looks at no more lines than settle
// it. first gives the first so many of them.
func FitBriefly(first func(lines int) [][]byte, o Options) (*Fitted, error) {
	few := first(plenty)
	if f, err := Fit(few, o); len(few) < plenty || err == nil && f.stated {
		return f, err
	}
	return Fit(first(math.MaxInt), o)
}

// plenty of lines settle it where all is stated.
const plenty = 600

// fitSample tries every decoder on the lines as they stand. Without a fit it says
// what came nearest, nil for nothing.
func fitSample(s *sample, o Options) (best *Fitted, nearest *Unfit) {
	var all []*Fitted
	for _, e := range All() {
		if e.survey == nil {
			continue
		}
		for _, t := range e.survey(s) {
			f, unfit := t.fit(s, o)
			if unfit != nil && unfit.sure {
				return nil, unfit
			}
			if unfit != nil {
				if nearest == nil || unfit.near > nearest.near || unfit.near == nearest.near && len(unfit.Found) > len(nearest.Found) {
					nearest = unfit
				}
				continue
			}
			all = append(all, f)
		}
	}
	slices.SortStableFunc(all, func(a, b *Fitted) int { return cmp.Compare(b.score, a.score) })
	return thatReads(all, s.probe()), nearest
}

// thatReads is the first of the fits, best first, or the next one that reads far more of the lines: labels that
// stand beside some rows only, as states do, may fit well what little they are of.
func thatReads(fits []*Fitted, lines [][]byte) *Fitted {
	const nearlyAll, farMore, near = 0.8, 0.25, 2 // of the lines; of the score, our own figures
	if len(fits) == 0 {
		return nil
	}
	first := fits[0].reads(lines)
	if first >= nearlyAll {
		return fits[0]
	}
	for _, f := range fits[1:] {
		if f.score > fits[0].score-near && f.reads(lines) > first+farMore {
			return f
		}
	}
	return fits[0]
}

// reads is the share of lines, of those that are not blank, that the layout decodes. Of a block of lines
// those that are of something else count neither way, once there have been voltage and current by name.
func (f *Fitted) reads(lines [][]byte) float64 {
	stream, err := NewStream(f.Layout)
	if err != nil {
		return 0
	}
	good, seen := 0, 0
	for i, l := range lines {
		if len(trim(l)) == 0 {
			continue
		}
		_, err := stream.Line(l, float64(i), 0)
		if err == nil || err == ErrHalf {
			good++
		} else if err == ErrNotMine && good > 1 && f.Layout.Pair && f.Named {
			continue
		}
		seen++
	}
	return float64(good) / float64(max(seen, 1))
}

// finish proves the setting on the lines themselves.
func (f *Fitted) finish(lines [][]byte) (*Fitted, error) {
	f.Setting, f.Columns = f.Layout.String(), f.Layout.Describe()
	if _, err := NewStream(f.Layout); err != nil {
		return nil, &Unfit{Found: fmt.Sprintf("the setting %q came out, but: %v", f.Setting, err), Need: "give --decoder"}
	}
	if f.Share = f.reads(lines); f.Share == 0 {
		return nil, &Unfit{Found: fmt.Sprintf("the setting %q came out, but no line decodes with it", f.Setting), Need: "give --decoder"}
	}
	return f, nil
}

// unmark takes the byte order mark off the first line.
func unmark(lines [][]byte) [][]byte {
	if len(lines) > 0 && len(lines[0]) >= 3 && string(lines[0][:3]) == "\xef\xbb\xbf" {
		lines = append([][]byte{lines[0][3:]}, lines[1:]...)
	}
	return lines
}

// dataLines are those with a number in them.
func dataLines(lines [][]byte) [][]byte {
	out := make([][]byte, 0, len(lines))
	for _, l := range lines {
		if MayBeRow(l) {
			out = append(out, l)
		}
	}
	return out
}

// MayBeRow tells a line with numbers in it, as rows have, from a banner or a menu.
func MayBeRow(line []byte) bool {
	count := 0
	for _, c := range line {
		if c-'0' <= 9 {
			count++
		}
	}
	return count*5 >= len(line) && count >= 2
}

func stripped(lines [][]byte, check string) [][]byte {
	out := make([][]byte, len(lines))
	for i, l := range lines {
		if p := takeApart(l); p.tail != nil && check != "none" {
			out[i] = p.body
		} else {
			out[i] = trimMarks(l)
		}
	}
	return out
}

func nothingSeen(lines [][]byte) string {
	if len(lines) == 0 {
		return "there are none"
	}
	first := lines[max(0, slices.IndexFunc(lines, func(l []byte) bool { return len(bytes.TrimSpace(l)) > 0 }))]
	return fmt.Sprintf("no columns, labels or JSON with numbers in them were found; the lines, %d of them, begin with %.60q", len(lines), first)
}
