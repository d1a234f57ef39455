package daemon

import "amphora/decoders"

// track remembers which record stood at which elapsed time, one mark a minute for
// the last two hours: long enough to find the place where a charge ended once it
// is known, half an hour later, that it has.
type track struct {
	marks [128]trackMark
	n     int
}

type trackMark struct {
	t   float64 // s
	seq uint64

	layout *decoders.Layout // that the record was read with
}

const trackEvery = 60 // s

func (k *track) add(t float64, seq uint64, layout *decoders.Layout) {
	for k.n > 0 && k.at(k.n-1).t > t {
		k.n-- // of a row that was none
	}
	if k.n > 0 && t-k.at(k.n-1).t < trackEvery {
		return
	}
	k.marks[k.n%len(k.marks)] = trackMark{t, seq, layout}
	k.n++
}

func (k *track) at(i int) trackMark { return k.marks[i%len(k.marks)] }

// behind is where the account of what follows a charge begins, whose last row with
// current stood at time t: with the next mark, so that none of its current is told again;
// but where rows are missing there, with the mark before, so that the hole is told of.
func (k *track) behind(t float64) (m trackMark) {
	for i := max(0, k.n-len(k.marks)); i < k.n; i++ {
		switch next := k.at(i); {
		case next.t <= t || m.seq == 0:
			m = next
		case next.t-t <= 2*trackEvery:
			return next
		default:
			return m
		}
	}
	return m
}
