package daemon

import (
	"context"
	"encoding/json"
	"errors"
	"io/fs"
	"os"
	"path/filepath"

	"amphora/analyze"
	"amphora/analyze/logbook"
	"amphora/capture/journal"
	"amphora/dashboards/curve"
	"amphora/dashboards/durable"
)

// shapeFile is the shape of a charge that is settled, as it is kept beside the
// logbook. The journal can tell it again, as long as the lines are kept; this is
// quicker, and outlasts them.
type shapeFile struct {
	// Of which form of the charge it is: one that was worked out anew may count its
	// time from another row.
	Session string         `json:"session"`
	From    uint64         `json:"from"` // record of the journal
	StartS  analyze.Number `json:"start_s"`
	EndS    analyze.Number `json:"end_s"`

	curve.Columns
}

func shapeOf(s *logbook.Session, points []curve.Point) *shapeFile {
	return &shapeFile{Session: s.Summary.ID, From: firstRecord(s), StartS: s.Summary.StartS, EndS: s.Summary.EndS, Columns: curve.ColumnsOf(points)}
}

// firstRecord is where the account of a charge begins; 0 where nobody knows.
func firstRecord(s *logbook.Session) uint64 {
	p, err := placeOf(s)
	if err != nil {
		return 0
	}
	return p.From
}

// shapesDir is where a data folder keeps them.
func shapesDir(data string) string { return filepath.Join(data, "shapes") }

func shapeName(session string) string { return journal.FolderName(session) + ".json" }

func (f *shapeFile) write(data string) error {
	text, err := json.Marshal(f)
	if err != nil {
		return err
	}
	return durable.Replace(shapesDir(data), shapeName(f.Session), text)
}

// readShape returns the shape of a settled charge, nil if none is kept of this form
// of it. A file that cannot be read is none: it is only ever a short cut.
func readShape(data string, s *logbook.Session) []curve.Point {
	text, err := os.ReadFile(filepath.Join(shapesDir(data), shapeName(s.Summary.ID)))
	if err != nil {
		return nil
	}
	var f shapeFile
	if json.Unmarshal(text, &f) != nil || !f.is(s) {
		return nil
	}
	points, _ := f.Points()
	return points
}

// is tells whether a file belongs to a form of a charge.
func (f *shapeFile) is(s *logbook.Session) bool {
	return f.Session == s.Summary.ID && f.From == firstRecord(s) && f.StartS == s.Summary.StartS && f.EndS == s.Summary.EndS
}

// KeepShape keeps the shape of a settled charge whose lines no journal has, and says in
// which file.
func KeepShape(data string, s *logbook.Session, points []curve.Point) (file string, err error) {
	f := shapeOf(s, curve.Downsample(points, shapePoints))
	return filepath.Join(shapesDir(data), shapeName(f.Session)), f.write(data)
}

// keepShape writes the shape of a charge that is settled, beside the recording.
func (c *channel) keepShape(s logbook.Session) {
	points, kept := c.story.shape.points(), make(chan struct{})
	c.shapeKept = kept
	c.tasks.Go(func() {
		defer close(kept)
		if err := shapeOf(&s, points).write(c.data); err != nil {
			c.log.Warn("cannot keep the shape of a charge; its curve will be read from the journal, which takes longer", "channel", c.set.Name, "error", err)
		}
	})
}

// Shape returns how a charge and the rest after it look, in a few thousand rows with
// every peak among them, by the charge's own time: at once, or nil where nobody has
// it ready. Samples has every row.
func (d *Daemon) Shape(ctx context.Context, id string) ([]curve.Point, error) {
	for _, c := range d.channels {
		if points := c.shapeOf(id); points != nil {
			return points, nil
		}
	}
	session, err := d.book.Session(ctx, id)
	if err != nil {
		return nil, err
	}
	return KeptShape(d.cfg.Data, &session), nil
}

// KeptShape is the shape of a settled charge as it is kept beside the logbook of a data
// folder; nil where there is none.
func KeptShape(data string, s *logbook.Session) []curve.Point {
	if !s.Settled {
		return nil
	}
	return readShape(data, s)
}

// shapeOf is the shape of the charge under way, or resting, if it is that one.
func (c *channel) shapeOf(id string) []curve.Point {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.stored.id == "" || c.stored.id != id {
		return nil
	}
	return c.story.shape.points()
}

// DropShape removes what is kept of the shape of a charge that is no longer in the logbook.
func DropShape(data, session string) error {
	err := os.Remove(filepath.Join(shapesDir(data), shapeName(session)))
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	return err
}
