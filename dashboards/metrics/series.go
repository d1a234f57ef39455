package metrics

import (
	"maps"
	"runtime"
	"slices"
	"time"

	"amphora/analyze"
)

// The metrics that have labels of their own, or a form of their own.

func build(w *writer, s *scene) {
	w.series(1, label("goversion", runtime.Version()), label("version", s.from.Version))
}

var in, out = label("direction", "in"), label("direction", "out")

func chargeTotals(w *writer, s *scene) {
	for _, c := range s.channels {
		w.number(c.Totals.ChargeInAh, coulombsPerAh, c.label, in)
		w.number(c.Totals.ChargeOutAh, coulombsPerAh, c.label, out)
	}
}

func energyTotals(w *writer, s *scene) {
	for _, c := range s.channels {
		w.number(c.Totals.EnergyInWh, joulesPerWh, c.label, in)
		w.number(c.Totals.EnergyOutWh, joulesPerWh, c.label, out)
	}
}

// A finding is no longer there when it no longer holds, and once where it holds twice.
func findings(w *writer, s *scene) {
	for _, c := range s.channels {
		if c.Session == nil {
			continue
		}
		shown := make([]string, 0, 8)
		for _, f := range c.Session.Findings {
			if analyze.Known(f.EndS) || slices.Contains(shown, f.Code) {
				continue
			}
			shown = append(shown, f.Code)
			w.series(1, c.label, label("code", f.Code), label("severity", string(f.Severity)))
		}
	}
}

func lastSample(w *writer, s *scene) {
	for _, c := range s.channels {
		if c.LastReading != nil && !c.LastReading.At.IsZero() {
			w.series(unix(c.LastReading.At), c.label)
		}
	}
}

func rejections(w *writer, s *scene) {
	for _, c := range s.channels {
		counts := s.reasons.fold(c.Name, c.RejectedByReason)
		for _, reason := range slices.Sorted(maps.Keys(counts)) {
			w.series(float64(counts[reason]), c.label, label("reason", reason))
		}
	}
}

func notifications(w *writer, s *scene) {
	if s.from.Notices == nil {
		return
	}
	counts := make(map[string]float64)
	for _, n := range s.from.Notices() {
		counts[label("result", n.Result)+","+label("target", n.Target)] += float64(n.Count)
	}
	w.each(counts)
}

func targets(of func(*Target) float64) lines {
	return func(w *writer, s *scene) {
		if s.from.Targets == nil {
			return
		}
		sums := make(map[string]float64)
		for _, t := range s.from.Targets() {
			sums[label("target", t.Name)] += of(&t)
		}
		w.each(sums)
	}
}

// each writes values by their labels, in order.
func (w *writer) each(values map[string]float64) {
	for _, labels := range slices.Sorted(maps.Keys(values)) {
		w.series(values[labels], labels)
	}
}

func remaining(w *writer, s *scene) {
	for _, c := range s.channels {
		if c.Charge() != nil {
			w.number(c.RemainingS, 1, c.label)
		}
	}
}

func started(w *writer, s *scene) {
	for _, c := range s.channels {
		if charge := c.Charge(); charge != nil && charge.Started != nil {
			w.series(unix(*charge.Started), c.label)
		}
	}
}

// stageLabel has every stage with its label.
var stageLabel = stageLabels()

type stageWithLabel struct{ name, label string }

func stageLabels() (all []stageWithLabel) {
	for _, s := range slices.Sorted(slices.Values(analyze.StageNames())) {
		all = append(all, stageWithLabel{string(s), label("stage", string(s))})
	}
	return all
}

func stages(w *writer, s *scene) {
	for _, c := range s.channels {
		if c.Stage == "" {
			continue
		}
		for _, stage := range stageLabel {
			w.series(oneIf(string(c.Stage) == stage.name), c.label, stage.label)
		}
	}
}

// unix is a moment in seconds, to the millisecond.
func unix(t time.Time) float64 { return float64(t.UnixMilli()) / 1000 }
