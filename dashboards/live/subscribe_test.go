package live

import (
	"context"
	"encoding/json"
	"strconv"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

func TestEventsReachEverySubscriberInOrder(t *testing.T) {
	h, clock := newHub()
	a, b := h.Subscribe(t.Context()), h.Subscribe(t.Context())
	h.Event("stage-began", "bench", "finish")
	clock.Advance(time.Second)
	h.Event("finding-raised", "bench", nil)
	for _, queue := range []<-chan Message{a, b} {
		first, second := <-queue, <-queue
		assert.Equal(t, "stage-began", first.Kind)
		assert.Equal(t, "finish", first.Payload)
		assert.Equal(t, evening, first.At)
		assert.Equal(t, evening.Add(time.Second), second.At)
		assert.NotEqual(t, first.ID, second.ID)
	}
}

func TestSlowSubscriberIsCutOffAndCounted(t *testing.T) {
	h, _ := newHub()
	slow, quick := h.Subscribe(t.Context()), h.Subscribe(t.Context())
	for n := range queued + 1 {
		h.Event("stage-began", "bench", n)
		assert.Equal(t, n, (<-quick).Payload)
	}
	seen := 0
	for range slow {
		seen++
	}
	assert.Equal(t, queued, seen)
	now, dropped := h.Subscribers()
	assert.Equal(t, 1, now)
	assert.Equal(t, uint64(1), dropped)
}

func TestSubscriptionEndsWithItsContext(t *testing.T) {
	h, _ := newHub()
	ctx, cancel := context.WithCancel(t.Context())
	queue := h.Subscribe(ctx)
	cancel()
	_, open := <-queue
	assert.False(t, open)
	h.Event("stage-began", "bench", nil)
	now, dropped := h.Subscribers()
	assert.Zero(t, now)
	assert.Zero(t, dropped)
}

func TestResumeTellsWhatWasMissed(t *testing.T) {
	h, clock := newHub()
	ctx, cancel := context.WithCancel(t.Context())
	queue := h.Subscribe(ctx)
	h.Event("a", "", nil)
	seen := (<-queue).ID
	cancel()
	h.Event("b", "", nil)
	h.Event("c", "", nil)

	queue, from := h.Resume(t.Context(), seen)
	assert.Equal(t, seen, from)
	assert.Equal(t, "b", (<-queue).Kind)
	last := <-queue
	assert.Equal(t, "c", last.Kind)
	assert.Empty(t, queue)

	clock.Advance(time.Hour)
	other := NewHub(clock)
	other.Event("d", "", nil)
	other.Event("e", "", nil)
	for _, id := range []string{seen, "", "nonsense", "-", other.epoch + "-99"} {
		queue, _ = other.Resume(t.Context(), id)
		assert.Empty(t, queue, "nothing for %q", id)
	}
	_, from = h.Resume(t.Context(), "")
	assert.Equal(t, last.ID, from)
}

func TestOnlySoManyMessagesAreRemembered(t *testing.T) {
	h, _ := newHub()
	for n := range 3 * remembered {
		h.Event("a", "", n)
	}
	queue, _ := h.Resume(t.Context(), h.id(1))
	assert.Len(t, queue, remembered)
	assert.Equal(t, 2*remembered, (<-queue).Payload)
}

func TestHubIsSafeForManyAtOnce(t *testing.T) {
	h, _ := newHub()
	var all sync.WaitGroup
	for n := range 4 {
		all.Go(func() {
			for k := range 200 {
				h.Publish(Channel{Name: strconv.Itoa(n), Reading: reading(evening, float64(k)), RejectedByReason: map[string]int{"a": k}})
				h.Event("a", strconv.Itoa(n), k)
			}
		})
		all.Go(func() {
			queue := h.Subscribe(t.Context())
			for range 100 {
				_, _ = json.Marshal(h.Snapshot())
				select {
				case <-queue:
				default:
				}
			}
		})
	}
	all.Wait()
	assert.Len(t, h.Snapshot(), 4)
}
