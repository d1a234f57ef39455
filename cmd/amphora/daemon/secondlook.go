package daemon

import (
	"fmt"
	"slices"

	"amphora/analyze"
	"amphora/decoders"
)

// secondLook goes on looking at the lines of a source whose decoder was fitted
// from its first lines. Only when current begins to flow can be seen for sure which way
// the meter counts, and where no name tells it, which values are voltage and current:
// at rest a current is nought, as many a thing is. In a charge that is under way already it
// takes longer. It ends once it has been seen.
type secondLook struct {
	told bool
	fit  fitting // of the latest lines
	all  thinned // of those of all the time: a charge under way shows its sign in hours
}

const (
	// secondMost bounds what is kept for it. A charge that begins changes current
	// and voltage within these lines.
	secondMost = 120
	// secondEvery is how many lines lie between two looks at them.
	secondEvery = 20
)

// lookAgain takes a line that was decoded, or would be if the decoder were right.
func (s *story) lookAgain(l line, text []byte, sink func(turn)) {
	row := s.last.ok && s.last.at == l.at
	if s.setting != "" || s.second.told || s.replaying && !s.fits || !row && !s.guessed {
		return
	}
	found, ok := s.see(l, text, func(setting string) bool { return s.guessed || s.readsAlike(setting) })
	if !ok {
		return
	}
	right := found
	if s.readsAlike(found) {
		if negates(found) != negates(s.chosen) && s.proven() {
			return
		}
		right = s.corrected(found)
	}
	if right != s.chosen {
		sink(turn{chose: right, anew: true})
	}
}

// lookAgainAtTwo takes what two meters gave together, as a line of one that counts
// as the meter for the current does now.
func (s *story) lookAgainAtTwo(l line, sample *analyze.Sample, sink func(turn)) {
	e := s.two.amps()
	if e.setting != "" || s.second.told || s.replaying && !s.fits || !s.last.ok || s.last.at != l.at {
		return
	}
	text := fmt.Appendf(nil, "voltage=%.6g V current=%.6g A", sample.Volts, sample.Amps)
	found, ok := s.see(l, text, func(string) bool { return true })
	if ok && negates(found) && !s.proven() {
		sink(turn{chose: e.tag + withSign(e.chosen, !negates(e.chosen)), anew: true})
	}
}

// proven reports whether the present charge shows that the current is counted the right way: it
// stands above the rest before it, or has come to a voltage limit, as no discharge does. Who looks again
// from the end of a charge on sees a voltage that sinks while a float current comes, or a lead that
// comes loose, and would take either for a meter that counts the other way.
func (s *story) proven() bool {
	all := s.machine.Document().Sessions
	if len(all) == 0 {
		return false
	}
	c := &all[len(all)-1]
	const clear = 1.01
	above := func(g analyze.Stage) bool {
		return g.Stage == analyze.ConstantCurrent && c.RestBefore != nil && g.MeanV > clear*c.RestBefore.LastV
	}
	return analyze.Known(c.HeldV) || slices.ContainsFunc(c.Stages, above)
}

// see takes the next line, and gives the decoder that now fits the lines once they tell
// for sure which way the current counts, if that decoder may take the place of the chosen one.
func (s *story) see(l line, text []byte, may func(setting string) bool) (setting string, ok bool) {
	k := &s.second
	k.fit.keep(l, text)
	setting, ok = k.fit.try(0)
	switch {
	case ok && k.fit.told && leapt(k.fit.read(setting)) && may(setting):
		s.second = secondLook{told: true}
		return setting, true
	case len(k.fit.lines) >= secondMost:
		k.fit.halve()
	}
	k.fit.nextN = min(k.fit.nextN, len(k.fit.lines)+secondEvery)
	if !k.all.take(l, text, !s.guessed) {
		return "", false
	}
	defer k.all.thin()
	if setting, ok = k.all.now(0); ok && k.all.told && !(s.guessed && k.all.doubted) && flows(k.all.read(setting)) && may(setting) {
		s.second = secondLook{told: true}
		return setting, true
	}
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
	if f := l.Field(of); f != nil {
		return f.Key
	}
	return ""
}

// corrected is the chosen decoder with the current counted as another one counts it that
// reads it from the same place: what else was fitted at first was so with the header of the
// log. In what unit it counts was open while it was nought and no name told.
func (s *story) corrected(found string) string {
	setting := withSign(s.chosen, negates(found))
	right, err := decoders.Parse(setting)
	if err != nil {
		return setting
	}
	other, err := decoders.Parse(found)
	if err != nil {
		return setting
	}
	if right.Direction == "" && other.Direction != "" {
		right.Direction = other.Direction
		setting = right.String()
	}
	if !s.guessed && right.Kind == "columns" {
		return setting // a heading that has gone by told the units
	}
	for _, of := range []decoders.Quantity{decoders.Volts, decoders.Amps} {
		if was, now := right.Field(of), other.Field(of); was != nil && now != nil {
			was.Form = now.Form
		}
	}
	return right.String()
}
