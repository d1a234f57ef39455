package report

import (
	"fmt"

	"amphora/analyze"
)

// answer says in a sentence how the charges came out, and what of them tells of
// the battery.
func answer(sessions []analyze.Session) (state, text string, telling []string) {
	worst, last, odd := analyze.Note, "", 0
	charges, complete := 0, 0
	in := analyze.Number(0)
	for k := range sessions {
		s := &sessions[k]
		in += s.ChargeInAh
		if s.Outcome != analyze.NoCharge {
			charges++
		}
		if s.Outcome == analyze.Complete {
			complete++
		}
		for _, f := range s.Findings {
			if f.Severity.Worse(worst) {
				worst = f.Severity
			}
			if f.Severity != analyze.Note {
				odd++
				last = f.Code
				telling = append(telling, fmt.Sprintf("%s (%s): %s", f.Code, f.Severity, f.Message))
			}
		}
		telling = append(telling, signs(s)...)
	}
	switch {
	case charges == 0:
		text = "No charge to speak of is in this log."
	case charges == 1:
		s := &sessions[onlyCharge(sessions)]
		text = fmt.Sprintf("%s. %s Ah went in, give or take %s Ah.", upperFirst(outcomes[s.Outcome]), ah(in), plainly(s.ChargeInAhU95, 2))
	default:
		text = fmt.Sprintf("%d charges, %d of them complete: %s Ah went in.", charges, complete, ah(in))
	}
	switch {
	case odd == 1:
		text += " One thing to mind: " + last + "."
	case odd > 1:
		text += fmt.Sprintf(" %d things to mind.", odd)
	case charges > 0:
		text += " Nothing is amiss in it."
	}
	if charges > 0 {
		telling = append(telling, "Whether a battery is dying cannot be told from one charge: compare like charges over months.")
	}
	return standing(worst, charges, complete), text, telling
}

// standing is how a log looks as a whole. What was found counts first: leads that are
// reversed are an alarm without a charge, too.
func standing(worst analyze.Severity, charges, complete int) string {
	switch {
	case worst == analyze.Alarm:
		return "bad"
	case worst == analyze.Warning:
		return "mind"
	case charges == 0:
		return "unknown"
	case complete < charges:
		return "mind"
	}
	return "good"
}

func onlyCharge(sessions []analyze.Session) int {
	for k := range sessions {
		if sessions[k].Outcome != analyze.NoCharge {
			return k
		}
	}
	return 0
}

// signs are what a charge tells of the battery's health.
func signs(s *analyze.Session) (list []string) {
	if r := s.Rest; r != nil && analyze.Known(r.SettledV) && s.Chemistry.Lead() && s.Cells > 0 && s.Outcome == analyze.Complete {
		full := 2.1 * float64(s.Cells)
		says := fmt.Sprintf("less than the %.1f V of a healthy, full battery", full)
		switch v, u := float64(r.SettledV), float64(r.SettledVU95); {
		case analyze.HealthyAndFull(v-u, int(s.Cells)):
			says = "what a healthy, full battery shows"
		case analyze.HealthyAndFull(v+u, int(s.Cells)):
			says = fmt.Sprintf("the %.1f V of a healthy, full battery lies within that", full)
		}
		list = append(list, fmt.Sprintf("It settles at %.2f V, give or take %.2g V: %s (common practice).", float64(r.SettledV), float64(r.SettledVU95), says))
	}
	if r, ok := surestOf(s.Resistance); ok {
		list = append(list, fmt.Sprintf("Its resistance is %.3g mohm, give or take %.2g mohm; alone it says little, but it is what to compare in a year.", 1000*float64(r.Ohm), 1000*float64(r.OhmU95)))
	}
	return list
}
