package influx

import (
	"bytes"
	"context"
	"errors"

	"amphora/dashboards/durable"
	"amphora/dashboards/push/spool"
)

// errStranger says that something which has never taken a point refuses all of them,
// and not in the words of a server for points: then the fault lies with it, or with
// the address, and no point is to blame.
var errStranger = errors.New("it has never taken a point, so nothing is put aside: see whether address and database are right")

// knownName is the file that says that the server has taken a point.
const knownName = "known"

// acquainted notes that the server takes points of ours, once for all times.
func (k *sink) acquainted() {
	if !k.known {
		k.known = true
		_ = durable.Replace(k.dir, knownName, nil) // else the next start finds it out again
	}
}

// trials is how many points of a batch are tried alone before a server that has never
// taken any is believed to refuse them all.
const trials = 8

// split delivers a batch that was refused as a whole: in halves, and in halves of
// those, down to the points that are refused by themselves, which are returned. After
// an error the whole batch may be sent again.
func (k *sink) split(ctx context.Context, body []byte, why *refusal) ([]refused, error) {
	text, err := spool.Expand(body)
	if err != nil {
		return nil, err
	}
	lines := bytes.Split(bytes.TrimSuffix(text, []byte("\n")), []byte("\n"))
	if !k.known && !why.knowing {
		if err := k.introduce(ctx, lines); err != nil {
			return nil, err
		}
	}
	return k.halve(ctx, lines, why)
}

// introduce looks for one point that the server takes.
func (k *sink) introduce(ctx context.Context, lines [][]byte) error {
	var last error
	for n := range min(trials, len(lines)) {
		one := lines[n*len(lines)/min(trials, len(lines))]
		err := k.send(ctx, one)
		if err == nil {
			k.acquainted()
			return nil
		}
		if _, ok := errors.AsType[*refusal](err); !ok {
			return err
		}
		last = err
	}
	return errors.Join(last, errStranger)
}

// halve delivers lines that are refused together.
func (k *sink) halve(ctx context.Context, lines [][]byte, why *refusal) ([]refused, error) {
	if len(lines) == 1 {
		return []refused{{lines[0], why.why}}, nil
	}
	var all []refused
	for _, half := range [][][]byte{lines[:len(lines)/2], lines[len(lines)/2:]} {
		err := k.send(ctx, bytes.Join(half, []byte("\n")))
		if why, ok := errors.AsType[*refusal](err); ok {
			list, err := k.halve(ctx, half, why)
			if err != nil {
				return nil, err
			}
			all = append(all, list...)
		} else if err != nil {
			return nil, err
		}
	}
	return all, nil
}

// send posts lines.
func (k *sink) send(ctx context.Context, text []byte) error {
	return k.courier.post(ctx, spool.Compress(append(bytes.Clone(text), '\n')))
}
