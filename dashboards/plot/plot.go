package plot

import (
	"fmt"
	"io"
	"strings"

	"amphora/analyze"
	"amphora/dashboards/curve"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"
	"gonum.org/v1/plot/vg/vgsvg"
)

const (
	width  = vg.Length(800) // points, of which 72 make an inch
	dotsPI = 144            // two dots a point: sharp on a screen, 1600 across
	detail = 3000           // points of the curve; the picture has 1450 dots across
)

// formats lists the formats that Draw knows.
func formats() []string { return []string{"svg", "png"} }

// Draw writes the picture of a curve and of the sessions found in it, whose
// times must count from the same moment. The format is "svg" or "png".
func Draw(w io.Writer, format string, title string, c *curve.Curve, sessions []analyze.Session) error {
	p := newPage(title, c.Points(detail), sessions)
	var out interface {
		vg.CanvasSizer
		io.WriterTo
	}
	switch format {
	case "svg":
		out = vgsvg.New(width, p.height)
	case "png":
		out = vgimg.PngCanvas{Canvas: vgimg.NewWith(vgimg.UseWH(width, p.height), vgimg.UseDPI(dotsPI), vgimg.UseBackgroundColor(paper))}
	default:
		return fmt.Errorf("a picture cannot be drawn as %q: choose %s", format, strings.Join(formats(), " or "))
	}
	p.draw(draw.New(out))
	if _, err := out.WriteTo(w); err != nil {
		return fmt.Errorf("write the picture: %w", err)
	}
	return nil
}
