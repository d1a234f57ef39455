package daemon

import (
	"math"
	"os"
	"path/filepath"
	"testing"

	"amphora/analyze"
	"amphora/analyze/logbook"
	"amphora/analyze/madeup"
	"amphora/capture"
	"amphora/dashboards/curve"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// recordedNight plays a made-up night of two charges into a daemon; the first of them
// is settled by its end, the second is not. It returns them, that one first.
func recordedNight(t testing.TB, data string) (d *Daemon, settled, resting logbook.Session, stop func()) {
	n := madeup.Named("outboard-two-charges")
	file := filepath.Join(t.TempDir(), "night.log")
	require.NoError(t, os.WriteFile(file, n.Log(), 0o600))
	d, stop = started(t, data, follow(t, capture.File{Path: file}))
	untilRead(t, d, n)
	testhelp.Until(t, "both charges in the book", func() bool {
		all, err := d.Book().Sessions(t.Context(), logbook.Filter{})
		require.NoError(t, err)
		if len(all) != 2 || !all[1].Settled {
			return false
		}
		settled, resting = all[1], all[0]
		return true
	})
	testhelp.Until(t, "the shape of the first", func() bool { return readShape(data, &settled) != nil })
	return d, settled, resting, stop
}

// requireShape holds a shape against all the rows: what it shows are rows, and the
// first, the last and every extreme are among them.
func requireShape(t *testing.T, rows, shape []curve.Point) {
	t.Helper()
	require.NotEmpty(t, shape)
	assert.LessOrEqual(t, len(shape), shapePoints)
	at := func(p curve.Point) int64 { return int64(math.Round(p.At * 1000)) }
	byTime := make(map[int64]curve.Point)
	for _, p := range rows {
		byTime[at(p)] = p
	}
	for _, p := range shape {
		r, ok := byTime[at(p)]
		require.True(t, ok, "there is no row at %v s", p.At)
		assert.Equal(t, [2]float64{r.Volts, r.Amps}, [2]float64{p.Volts, p.Amps})
	}
	span := func(of func(curve.Point) float64, points []curve.Point) (low, high float64) {
		low, high = math.Inf(1), math.Inf(-1)
		for _, p := range points {
			low, high = min(low, of(p)), max(high, of(p))
		}
		return low, high
	}
	for _, of := range []func(curve.Point) float64{
		func(p curve.Point) float64 { return p.Volts },
		func(p curve.Point) float64 { return p.Amps },
		func(p curve.Point) float64 { return math.Round(p.At) },
	} {
		wantLow, wantHigh := span(of, rows)
		low, high := span(of, shape)
		assert.Equal(t, [2]float64{wantLow, wantHigh}, [2]float64{low, high})
	}
}

func TestShapesAreThoseOfTheSamples(t *testing.T) {
	data := t.TempDir()
	d, settled, resting, stop := recordedNight(t, data)
	check := func(s logbook.Session) {
		t.Helper()
		rows, err := d.Samples(t.Context(), s.Summary.ID)
		require.NoError(t, err)
		shape, err := d.Shape(t.Context(), s.Summary.ID)
		require.NoError(t, err)
		requireShape(t, rows, shape)
	}
	check(settled)
	check(resting)
	stop()

	d, stop = started(t, data, follow(t, capture.File{Path: filepath.Join(t.TempDir(), "no more"), FromEnd: true}))
	defer stop()
	// The replay may count its time from another row; the book hears of that soon.
	testhelp.Until(t, "the book at one with the replay", func() bool {
		now, err := d.Book().Session(t.Context(), resting.Summary.ID)
		require.NoError(t, err)
		c, ok := d.Hub().Get("bench")
		first, err := d.Shape(t.Context(), settled.Summary.ID)
		require.NoError(t, err)
		return ok && c.Session != nil && c.Session.StartS == now.Summary.StartS && first != nil
	})
	check(settled)
	check(resting) // its rows came back with the replay
}

func TestShapeThatIsMissingOrOfAnotherForm(t *testing.T) {
	data := t.TempDir()
	d, settled, _, stop := recordedNight(t, data)
	defer stop()
	id := settled.Summary.ID
	kept := readShape(data, &settled)
	require.NotEmpty(t, kept)

	_, err := d.Shape(t.Context(), "nothing of the kind")
	assert.ErrorIs(t, err, logbook.ErrNotFound)

	another := settled
	another.Summary.StartS++
	assert.Nil(t, readShape(data, &another), "its time would be wrong")

	file := filepath.Join(shapesDir(data), shapeName(id))
	lopsided := shapeOf(&settled, kept)
	lopsided.Amps = nil
	for name, harm := range map[string]func() error{
		"gone":      func() error { return os.Remove(file) },
		"cut short": func() error { return os.Truncate(file, 500) },
		"of zeros":  func() error { return os.WriteFile(file, make([]byte, 4096), 0o600) },
		"lopsided": func() error {
			return lopsided.write(data)
		},
	} {
		require.NoError(t, harm(), name)
		shape, err := d.Shape(t.Context(), id)
		require.NoError(t, err, name)
		assert.Nil(t, shape, name)
		rows, err := d.Samples(t.Context(), id)
		require.NoError(t, err, name)
		shape, err = d.Shape(t.Context(), id)
		require.NoError(t, err, name)
		requireShape(t, rows, shape) // the samples brought it back
	}
}

// longNight records a charge of 100,000 rows, which goes on.
func longNight(b *testing.B) (d *Daemon, session string, stop func()) {
	n := madeup.Named("mower-float")
	n.Meter.Every, n.Charger.FloatFor = 1, 26*3600-6*3600
	file := filepath.Join(b.TempDir(), "night.log")
	require.NoError(b, os.WriteFile(file, n.Log(), 0o600))
	d, stop = started(b, b.TempDir(), follow(b, capture.File{Path: file}))
	untilRead(b, d, n)
	sessions, err := d.Book().Sessions(b.Context(), logbook.Filter{})
	require.NoError(b, err)
	require.NotEmpty(b, sessions)
	return d, sessions[0].Summary.ID, stop
}

// BenchmarkSamples reads every row of a charge from the journal, as is done when
// somebody looks into its curve.
func BenchmarkSamples(b *testing.B) {
	d, id, stop := longNight(b)
	defer stop()
	b.ReportAllocs()
	rows := 0
	for b.Loop() {
		points, err := d.Samples(b.Context(), id)
		require.NoError(b, err)
		rows = len(points)
	}
	b.ReportMetric(float64(rows), "rows")
}

// BenchmarkShape is the first look at the curve of a charge that goes on.
func BenchmarkShape(b *testing.B) {
	d, id, stop := longNight(b)
	defer stop()
	b.ReportAllocs()
	points := 0
	for b.Loop() {
		shape, err := d.Shape(b.Context(), id)
		require.NoError(b, err)
		points = len(shape)
	}
	b.ReportMetric(float64(points), "points")
}

// BenchmarkShapeOfAnEarlierNight is the first look at one that is settled.
func BenchmarkShapeOfAnEarlierNight(b *testing.B) {
	d, settled, _, stop := recordedNight(b, b.TempDir())
	defer stop()
	b.ReportAllocs()
	for b.Loop() {
		shape, err := d.Shape(b.Context(), settled.Summary.ID)
		require.NoError(b, err)
		require.NotEmpty(b, shape)
	}
}

// The rows of a charge whose lines are gone are not to be found; that is no fault of the program.
func TestSamplesThatAreNoLongerKept(t *testing.T) {
	d, stop := started(t, t.TempDir(), follow(t, capture.File{Path: filepath.Join(t.TempDir(), "none.log")}))
	defer stop()
	for id, from := range map[string]string{"bench-1": "", "bench-2": `{"from":1}`} {
		session := logbook.Session{Summary: analyze.Session{ID: id, Channel: "bench", Outcome: analyze.Complete}, JournalFrom: from, Settled: true}
		require.NoError(t, d.Book().PutSession(t.Context(), session))
		_, err := d.Samples(t.Context(), id)
		assert.ErrorIs(t, err, ErrNoRecord)
		assert.ErrorIs(t, err, logbook.ErrNotFound)

		kept := []curve.Point{{At: 0, Volts: 12, Amps: 1}, {At: 60, Volts: 13, Amps: 1}}
		_, err = KeepShape(d.cfg.Data, &session, kept)
		require.NoError(t, err)
		points, err := d.Samples(t.Context(), id)
		require.NoError(t, err, "its shape outlasts them")
		assert.Len(t, points, 2)
	}
}
