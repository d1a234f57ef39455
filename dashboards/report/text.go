package report

import (
	"bufio"
	"cmp"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"

	"amphora/analyze"
)

// Text writes a document as a short page in plain words. It holds no colour and
// no control characters, whatever the log held.
func Text(w io.Writer, d analyze.Document) error {
	b := bufio.NewWriter(w)
	fmt.Fprintf(b, "%s: %s used of %d\n", Clean(d.Log.Source), count(d.Log.Used, "row"), d.Log.Rows)
	fmt.Fprintf(b, "  read as    %s: %s\n", d.Log.Decoder, Clean(d.Log.Layout))
	if d.Log.Doubt != "" {
		if err := Paragraph(b, "  unsure     ", d.Log.Doubt+"; `amphora identify` says more"); err != nil {
			return err
		}
	}
	refusals(b, d.Log)
	fmt.Fprintf(b, "  accuracy   %s\n", d.Log.Meter)
	for n := range d.Sessions {
		fmt.Fprintln(b)
		session(b, &d.Sessions[n], n+1, len(d.Sessions))
	}
	return b.Flush()
}

func refusals(b *bufio.Writer, l analyze.Log) {
	if l.RejectedCount == 0 {
		return
	}
	for _, r := range reasonsOf(&l) {
		fmt.Fprintf(b, "  not used   %s: %s%s\n", count(l.RejectedByReason[r], "row"), r, firstLine(l, r))
	}
}

// reasonsOf lists why rows were not used, the most frequent first.
func reasonsOf(l *analyze.Log) []string {
	return slices.SortedFunc(maps.Keys(l.RejectedByReason), func(a, b string) int {
		return cmp.Or(cmp.Compare(l.RejectedByReason[b], l.RejectedByReason[a]), cmp.Compare(a, b))
	})
}

func firstLine(l analyze.Log, reason string) string {
	for _, r := range l.Rejected {
		if r.Reason == reason && r.Line > 0 {
			return fmt.Sprintf(" (first at line %d)", r.Line)
		}
	}
	return ""
}

func session(b *bufio.Writer, s *analyze.Session, n, of int) {
	title := outcomes[s.Outcome]
	if of > 1 {
		title = fmt.Sprintf("Charge %d of %d: %s", n, of, title)
	}
	fmt.Fprintln(b, upperFirst(title))
	if s.Started != nil {
		fmt.Fprintf(b, "  began      %s, %s into the log\n", s.Started.Format("2006-01-02 15:04 MST"), at(s.StartS))
	} else {
		fmt.Fprintf(b, "  began      %s into the log\n", at(s.StartS))
	}
	if s.Outcome != analyze.NoCharge {
		fmt.Fprintf(b, "  lasted     %s%s\n", analyze.Clock(float64(s.EndS-s.StartS)), finished(s))
	}
	in(b, s)
	battery(b, s)
	if s.Outcome != analyze.NoCharge {
		line(b, "set", s.SetA, "%.3g A", s.HeldV, "held at %.2f V", s.TailA, "%.3g A at the end")
	}
	if f := s.Forecast; f != nil {
		fmt.Fprintf(b, "  forecast   done at %s, give or take %s, with %.3g Ah in (%s)\n", at(f.FinishS), analyze.Clock(float64(f.FinishSU95)), float64(f.ChargeInAh), f.Method)
	}
	before(b, s)
	rest(b, s)
	resistance(b, s)
	stages(b, s)
	findings(b, s)
}

var outcomes = map[analyze.Outcome]string{
	analyze.Complete: "the charge was completed",
	analyze.CutShort: "the charge was cut short: the current stopped before it was complete",
	analyze.Running:  "the charge was still going on at the last row",
	analyze.NoCharge: "no charge to speak of",
	analyze.Faulted:  "a fault ended the charge",
}

var ends = map[analyze.EndedBy]string{
	analyze.EndTailCurrent:    "the current had tailed off",
	analyze.EndVoltagePeak:    "the voltage had peaked",
	analyze.EndFloat:          "the charger stepped down to float",
	analyze.EndCurrentStopped: "the current stopped",
	analyze.EndLogEnded:       "the log ended",
}

func finished(s *analyze.Session) string {
	if !analyze.Known(s.FinishS) {
		return ""
	}
	return fmt.Sprintf("; complete after %s, when %s", analyze.Clock(float64(s.FinishS-s.StartS)), ends[s.EndedBy])
}

func in(b *bufio.Writer, s *analyze.Session) {
	fmt.Fprintf(b, "  went in    %s Ah, give or take %s Ah; %s Wh\n", ah(s.ChargeInAh), plainly(s.ChargeInAhU95, 2), plainly(s.EnergyInWh, 4))
	if s.ChargeOutAh >= 0.0005 {
		fmt.Fprintf(b, "  went out   %s Ah\n", ah(s.ChargeOutAh))
	}
	for _, g := range openGaps(s.Gaps) {
		fmt.Fprintf(b, "  unseen     %s to %s without rows: perhaps %.3g Ah more, give or take %.2g Ah\n", at(g.StartS), at(g.EndS), float64(g.ChargeAh), float64(g.ChargeAhU95))
	}
	if c := s.Capacity; c != nil && analyze.Known(c.AbsorbedFraction) {
		fmt.Fprintf(b, "  of rated   %.0f %% of %.4g Ah%s\n", float64(c.AbsorbedFraction)*100, float64(c.RatedAh),
			amount(100*c.DepthOfDischarge, "; about %.0f %% had been taken out"))
	}
}

func battery(b *bufio.Writer, s *analyze.Session) {
	if s.Chemistry == "" && s.Battery == "" {
		return
	}
	parts := []string{Clean(string(s.Battery)), kindOf(s)}
	fmt.Fprintf(b, "  battery    %s\n", strings.Join(slices.DeleteFunc(parts, func(p string) bool { return p == "" }), ": "))
}

// kindOf says of what kind the battery is, nothing where that is not known.
func kindOf(s *analyze.Session) string {
	if s.Chemistry == "" {
		return ""
	}
	kind := string(s.Chemistry)
	if s.Cells > 0 {
		kind += ", " + count(int(s.Cells), "cell")
	}
	if s.ChemistryInferred {
		kind += " (taken from the curve)"
	}
	return kind
}

// line writes those of some values that are known.
func line(b *bufio.Writer, name string, pairs ...any) {
	var parts []string
	for k := 0; k < len(pairs); k += 2 {
		if v := pairs[k].(analyze.Number); analyze.Known(v) {
			parts = append(parts, fmt.Sprintf(pairs[k+1].(string), float64(v)))
		}
	}
	if len(parts) > 0 {
		fmt.Fprintf(b, "  %-10s %s\n", name, strings.Join(parts, ", "))
	}
}

// before says how the battery stood before the charge.
func before(b *bufio.Writer, s *analyze.Session) {
	if r := s.RestBefore; r != nil {
		fmt.Fprintf(b, "  before     %s\n", stood(r))
	}
}

// directly says how the voltage answered to the charging current.
func directly(r *analyze.DirectResistance) string {
	return fmt.Sprintf("%.3g ± %.2g mohm over the first %.0f s", 1000*float64(r.Ohm), 1000*float64(r.OhmU95), float64(r.Seconds))
}

// stood says what was seen before a charge: a voltage, for how long, and how full that is.
func stood(r *analyze.RestFit) string {
	text := fmt.Sprintf("%.2f V, seen for %s without current", float64(r.LastV), analyze.Clock(float64(r.DurationS)))
	if analyze.Known(r.StateOfCharge) {
		text += fmt.Sprintf(": about %.0f %% full", float64(r.StateOfCharge)*100)
	}
	return text
}

func rest(b *bufio.Writer, s *analyze.Session) {
	r := s.Rest
	if r == nil {
		return
	}
	fmt.Fprintf(b, "  rest       %.2f V after %s without current", float64(r.LastV), analyze.Clock(float64(r.DurationS)))
	if analyze.Known(r.SettledV) {
		fmt.Fprintf(b, "; settling at %.2f V, give or take %.2g V", float64(r.SettledV), float64(r.SettledVU95))
	}
	if analyze.Known(r.StateOfCharge) {
		fmt.Fprintf(b, ": about %.0f %% full", float64(r.StateOfCharge)*100)
	}
	fmt.Fprintln(b)
}

// resistance is told of a log without a rest, too: a charge's beginning tells it.
func resistance(b *bufio.Writer, s *analyze.Session) {
	if r, ok := surestOf(s.Resistance); ok {
		fmt.Fprintf(b, "  resistance %.3g ± %.2g mohm at a step of the current\n", 1000*float64(r.Ohm), 1000*float64(r.OhmU95))
	} else if len(s.DirectResistance) > 0 {
		fmt.Fprintf(b, "  resistance %s\n", directly(&s.DirectResistance[0]))
	}
}

func stages(b *bufio.Writer, s *analyze.Session) {
	if len(s.Stages) == 0 {
		return
	}
	fmt.Fprintf(b, "\n  %-17s %13s %12s %9s %8s %8s\n", "stage", "from", "for", "Ah", "mean V", "mean A")
	for _, g := range s.Stages {
		fmt.Fprintf(b, "  %-17s %13s %12s %9s %8s %8s\n", g.Stage, at(g.StartS), analyze.Clock(float64(g.EndS-g.StartS)),
			ah(g.ChargeAh), number(g.MeanV, "%.2f"), number(g.MeanA, "%.3g"))
	}
	for _, g := range s.Stages {
		if g.Why != "" && g.Stage != analyze.Idle && g.Stage != analyze.Rest {
			fold(b, "  "+string(g.Stage)+": ", hang, g.Why)
		}
	}
	if r := s.Rest; r != nil && !analyze.Known(r.SettledV) {
		fold(b, "  rest: ", hang, r.Method)
	}
}

// hang is how far the later lines of a stage's or a finding's words are indented.
const hang = 6

func findings(b *bufio.Writer, s *analyze.Session) {
	if len(s.Findings) == 0 {
		return
	}
	fmt.Fprintln(b)
	for _, f := range s.Findings {
		until := ""
		if f.EndS > f.AtS { // neither of a moment nor of what holds
			until = ", until " + at(f.EndS)
		}
		fold(b, fmt.Sprintf("  %s, %s, at %s%s: ", f.Severity, f.Code, at(f.AtS), until), hang, f.Message)
	}
}
