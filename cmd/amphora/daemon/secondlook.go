package daemon

import (
	"fmt"
	"math"
	"slices"

	"amphora/analyze"
	"amphora/decoders"
)

// secondLook goes on looking at the lines of a source whose decoder was fitted
// from its first lines: which way the meter counts can be seen for sure only when
// current begins to flow. It ends once it has been seen.
type secondLook struct {
	told bool
	fit  fitting
	amps []float64 // of the lines that are kept, without their sign
}

const (
	// secondMost bounds what is kept for it. A charge that begins changes current
	// and voltage within these lines.
	secondMost = 120
	// secondEvery is how many lines lie between two looks at them.
	secondEvery = 20
)

// lookAgain takes a line that was decoded.
func (s *story) lookAgain(l line, text []byte, sink func(turn)) {
	if s.setting != "" || s.second.told || s.replaying {
		return
	}
	if found, ok := s.seeSign(l, text, s.readsAlike); ok {
		if right := withSign(s.chosen, negates(found)); right != s.chosen {
			sink(turn{chose: right, anew: true})
		}
	}
}

// lookAgainAtTwo takes what two meters gave together, as a line of one that counts
// as the meter for the current does now.
func (s *story) lookAgainAtTwo(l line, sample *analyze.Sample, sink func(turn)) {
	e := s.two.amps()
	if e.setting != "" || s.second.told || s.replaying {
		return
	}
	text := fmt.Appendf(nil, "voltage=%.6g V current=%.6g A", sample.Volts, sample.Amps)
	found, ok := s.seeSign(l, text, func(string) bool { return true })
	if ok && negates(found) {
		sink(turn{chose: e.tag + withSign(e.chosen, !negates(e.chosen)), anew: true})
	}
}

// seeSign takes the next line, and gives the decoder that now fits the lines once
// they tell for sure which way the current counts, and it is alike the one that is
// doubted.
func (s *story) seeSign(l line, text []byte, alike func(setting string) bool) (setting string, ok bool) {
	k := &s.second
	if !s.last.ok || s.last.at != l.at {
		return "", false // not a row
	}
	k.fit.keep(l, text)
	k.amps = append(k.amps, math.Abs(s.last.amps))
	setting, ok = k.fit.try(0)
	switch {
	case ok && k.fit.told && leapt(k.amps) && alike(setting):
		s.second = secondLook{told: true}
		return setting, true
	case len(k.fit.lines) >= secondMost:
		k.fit.halve()
		k.amps = slices.Clone(k.amps[len(k.amps)-len(k.fit.lines):])
	}
	k.fit.nextN = min(k.fit.nextN, len(k.fit.lines)+secondEvery)
	return "", false
}

// readsAlike tells whether a setting reads voltage and current from where the chosen
// one does. Lines without their header may look otherwise: a time that grows unevenly
// passes for a current, and its sign tells nothing.
func (s *story) readsAlike(setting string) bool {
	found, err := decoders.Parse(setting)
	if err != nil {
		return false
	}
	chosen, err := decoders.Parse(s.chosen)
	if err != nil {
		return false
	}
	for _, of := range []decoders.Quantity{decoders.Volts, decoders.Amps} {
		if keyOf(found, of) != keyOf(chosen, of) {
			return false
		}
	}
	return true
}

// keyOf is where a layout has a quantity, "" where it has none.
func keyOf(l *decoders.Layout, of decoders.Quantity) string {
	if f := fieldOf(l, of); f != nil {
		return f.Key
	}
	return ""
}

// leapt tells whether current has begun to flow, or ended, beyond all doubt: over
// days without current even a rare chance in the noise would come. A quarter of the
// lines without current is enough; a charger that is switched on at once leaves few.
func leapt(amps []float64) bool {
	const clear, rows = 20, 3
	sorted := slices.Sorted(slices.Values(amps))
	if len(sorted) < 2*rows {
		return false
	}
	usual := sorted[len(sorted)/4]
	for _, a := range sorted {
		if a > 0 {
			usual = max(usual, a) // at least the smallest that the meter shows
			break
		}
	}
	return sorted[len(sorted)-rows] > clear*usual
}
