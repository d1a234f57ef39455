package web

import (
	"math"
	"sync"
	"time"
)

// Failed logins: so many at once, then one in so long a time; for each address,
// and for all of them together, since one house has many addresses.
const (
	burstEach = 10
	burstAll  = 20
	pauseEach = 10 * time.Second
	pauseAll  = time.Second
	// addresses is how many are told apart; beyond, all are forgotten and the
	// limit for all together has to do.
	addresses = 1024
)

// attempts slows down those who try passwords.
type attempts struct {
	now  func() time.Time
	mu   sync.Mutex
	all  bucket
	each map[string]*bucket
}

// bucket holds the attempts that are left; they come back one after another.
type bucket struct {
	used float64
	at   time.Time
}

func newAttempts(now func() time.Time) *attempts {
	return &attempts{now: now, each: make(map[string]*bucket)}
}

// take uses up an attempt. Where there is none left it says how long to wait, s.
func (a *attempts) take(from string) (wait int) {
	now := a.now()
	a.mu.Lock()
	defer a.mu.Unlock()
	b := a.each[from]
	if b == nil {
		if len(a.each) >= addresses {
			clear(a.each)
		}
		b = &bucket{at: now}
		a.each[from] = b
	}
	b.recover(now, pauseEach)
	a.all.recover(now, pauseAll)
	over := max((b.used+1-burstEach)*pauseEach.Seconds(), (a.all.used+1-burstAll)*pauseAll.Seconds())
	if over > 0 {
		return int(math.Ceil(over))
	}
	b.used++
	a.all.used++
	return 0
}

// giveBack returns the attempt of somebody whose login was right.
func (a *attempts) giveBack(from string) {
	a.mu.Lock()
	defer a.mu.Unlock()
	a.all.used = max(0, a.all.used-1)
	if b := a.each[from]; b != nil {
		b.used = max(0, b.used-1)
	}
}

func (b *bucket) recover(now time.Time, pause time.Duration) {
	if passed := now.Sub(b.at); passed > 0 {
		b.used = max(0, b.used-float64(passed)/float64(pause))
	}
	b.at = now
}
