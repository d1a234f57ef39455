package config

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"

	"amphora/analyze"
	"amphora/analyze/quantity"
	"amphora/decoders"
)

// channel reads one item of channels.
func (r *reader) channel(n node) Channel {
	var c Channel
	var feed Feed
	var multiple node
	o := &c.Options
	seen := r.mapping(n, keys{
		"name":      r.channelName(&c.Name),
		"source":    r.feeds(&c, &feed),
		"decoder":   r.decoder(&feed.Decoder),
		"battery":   r.name(&o.Battery),
		"chemistry": r.chemistry(&o.Chemistry),
		"cells":     r.count(&o.Cells, 1, 1000),
		"capacity":  r.amount(&o.Capacity, quantity.Charge, "Ah"),
		"tail":      r.tail(&o.Tail),
		"meter":     r.meter(o),
		"limits":    r.limits(&c.Limits, &multiple),
		"findings":  r.patience(&o.Patience),
	})
	r.need(n, seen, "name", "source")
	o.Channel = c.Name
	if len(c.Feeds) == 0 {
		c.Feeds = []Feed{feed}
		c.Feeds[0].settle()
		r.needBoth(seen["source"], &c.Feeds[0])
		r.readsBoth(seen["decoder"], &c.Feeds[0])
	} else if d, ok := seen["decoder"]; ok {
		r.fail(d, "with two meters each has its own decoder, inside source:")
	}
	if c.Limits.ChargeFactor > 0 && o.Capacity == 0 && o.Battery == "" {
		r.fail(multiple, "a multiple of the capacity is given, but neither capacity: nor battery: tells that")
	}
	return c
}

// channelName takes a name once. Some file systems do not tell Bench from
// bench, so the journal could not either.
func (r *reader) channelName(p *string) func(node) {
	return func(n node) {
		r.name(p)(n)
		if *p != "" {
			r.claim(n, "name "+strings.ToLower(*p), fmt.Sprintf("%q is the name of a channel", *p))
		}
	}
}

func (r *reader) decoder(p **decoders.Layout) func(node) {
	return parsed(r, p, "auto or what `amphora identify` printed", func(text string) (*decoders.Layout, error) {
		if text == "auto" {
			return nil, nil
		}
		layout, err := decoders.Parse(text)
		if err != nil {
			return nil, fmt.Errorf("%w; `amphora identify` prints the setting for a log or port", err)
		}
		return layout, nil
	})
}

// readsBoth refuses a decoder with which no row gives a voltage and a current, or of two meters not the value
// of this one: the night would be one without a reading.
func (r *reader) readsBoth(n node, f *Feed) {
	if f.Decoder == nil || n.value == nil {
		return
	}
	volts, amps := f.Decoder.Has(decoders.Volts), f.Decoder.Has(decoders.Amps)
	amps = amps || f.Of == "" && f.Decoder.Has(decoders.Watts)
	switch {
	case f.Of != "current" && !volts:
		r.fail(n, "not one row would give a voltage: the setting names none; add voltage=")
	case f.Of != "voltage" && !amps:
		r.fail(n, "not one row would give a current: the setting names none; add current=")
	}
}

func (r *reader) chemistry(p *analyze.Chemistry) func(node) {
	return parsed(r, p, "a chemistry", func(text string) (analyze.Chemistry, error) {
		c, err := analyze.ParseChemistry(text)
		if errors.Is(err, analyze.ErrWhichLead) {
			return c, analyze.ErrWhichLead
		}
		if err != nil {
			return c, fmt.Errorf("%q is not known; %s", text, meant(text, analyze.ChemistryNames()))
		}
		return c, nil
	})
}

// tail reads the current that ends a charge, as amperes or a share of the capacity.
func (r *reader) tail(p *analyze.Tail) func(node) {
	read := parsed(r, p, "a current or a share of the capacity", quantity.ParseTail)
	return func(n node) {
		read(n)
		if text, _ := scalar(n.value); bareNumber(text) {
			r.warn(n, "%s is read as %sA; write the unit, or %s%% for a share of the capacity", text, text, text)
		}
	}
}

func (r *reader) meter(o *analyze.Options) func(node) {
	return func(n node) {
		r.mapping(n, keys{
			"voltage": r.accuracy(&o.Voltage, quantity.Voltage),
			"current": r.accuracy(&o.Current, quantity.Current),
		})
	}
}

func (r *reader) accuracy(p *analyze.Accuracy, k quantity.Kind) func(node) {
	return parsed(r, p, "an accuracy like 0.5% + 3d", k.ParseAccuracy)
}

// patience reads how far the thresholds of findings are stretched. An alarm may be
// off, but not by mistake.
func (r *reader) patience(p *analyze.Patience) func(node) {
	return func(n node) {
		read := keys{}
		for code, severity := range analyze.FindingCodes() {
			read[code] = func(n node) {
				text, ok := r.scalar(n, "off, or a factor like 2x")
				if !ok {
					return
				}
				if text == "false" { // what becomes of off where a program writes the file anew
					text = "off"
				}
				if err := p.Set(code, text); err != nil {
					r.fail(n, "%v", err)
				} else if (*p)[code] == analyze.Never && severity == analyze.Alarm {
					r.warn(n, "this alarm is off: nobody is told of such a hazard on this channel")
				}
			}
		}
		r.mapping(n, read)
	}
}

// limits reads what the owner wants to be told of; multiple becomes the charge
// that is given as a multiple of the capacity.
func (r *reader) limits(p *Limits, multiple *node) func(node) {
	return func(n node) {
		r.mapping(n, keys{
			"hours":   r.duration(&p.Duration, "h", 365*24*time.Hour),
			"celsius": r.amount(&p.Celsius, quantity.Temperature, "C"),
			"charge":  r.chargeLimit(p, multiple),
			"volts":   r.amount(&p.Volts, quantity.Voltage, "V"),
			"silence": r.duration(&p.Silence, "s", 30*24*time.Hour),
		})
	}
}

// chargeLimit reads a charge, or a multiple of the capacity like 1.3x.
func (r *reader) chargeLimit(p *Limits, multiple *node) func(node) {
	return func(n node) {
		text, ok := scalar(n.value)
		number, isMultiple := strings.CutSuffix(strings.TrimSpace(text), "x")
		if !ok || !isMultiple {
			parsed(r, &p.Charge, "a charge like 60Ah, or a multiple of the capacity like 1.3x", chargeOrMultiple)(n)
			return
		}
		factor, err := strconv.ParseFloat(strings.TrimSpace(number), 64)
		if err != nil || !(factor > 0 && factor <= 10) {
			r.fail(n, "%q is not a multiple of the capacity, want text like 1.3x or 60Ah", text)
			return
		}
		p.ChargeFactor, *multiple = factor, n
	}
}

func chargeOrMultiple(text string) (float64, error) {
	charge, err := quantity.Charge.ParsePositive(text, "Ah")
	if err != nil {
		return 0, fmt.Errorf("%w, or a multiple of the capacity like 1.3x", err)
	}
	return charge, nil
}

// bareNumber tells a number without a unit.
func bareNumber(text string) bool {
	_, err := strconv.ParseFloat(strings.TrimSpace(text), 64)
	return err == nil
}
