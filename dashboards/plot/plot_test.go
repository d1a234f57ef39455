package plot

import (
	"bytes"
	"encoding/xml"
	"errors"
	"image"
	"image/color"
	"image/png"
	"io"
	"strings"
	"testing"

	"amphora/analyze"
	"amphora/dashboards/curve"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// texts are all texts of an SVG, which must be well-formed XML.
func texts(t testing.TB, svg []byte) []string {
	d := xml.NewDecoder(bytes.NewReader(svg))
	var list []string
	inside := false
	for {
		token, err := d.Token()
		if err == io.EOF {
			return list
		}
		require.NoError(t, err)
		switch x := token.(type) {
		case xml.StartElement:
			inside = x.Name.Local == "text"
		case xml.CharData:
			if inside {
				list = append(list, string(x))
			}
		case xml.EndElement:
			inside = false
		}
	}
}

func TestStagesAreNamedWithTheirAmpereHours(t *testing.T) {
	c, sessions := night("drill-three-cells")
	require.Len(t, sessions, 1)
	found := texts(t, drawn(t, "svg", "drill.log", c, sessions))
	require.GreaterOrEqual(t, len(sessions[0].Stages), 4)
	for _, g := range sessions[0].Stages {
		assert.Contains(t, found, stageText(g))
	}
	assert.Subset(t, found, []string{"drill.log", "voltage (V)", "current (A)", "temperature (°C)", "time (h)"})
	assert.Contains(t, strings.Join(found, "\n"), "end of charge, after ")
}

func TestEachChargeIsShaded(t *testing.T) {
	c, sessions := night("outboard-two-charges")
	require.Len(t, sessions, 2)
	found := texts(t, drawn(t, "svg", "lake", c, sessions))
	for _, s := range sessions {
		for _, g := range s.Stages {
			assert.Contains(t, found, stageText(g))
		}
	}
	assert.NotContains(t, found, "temperature (°C)", "nobody measured it")
}

func TestAnUnmeasuredStretchIsNamedAndBlank(t *testing.T) {
	c, sessions := small()
	assert.Contains(t, texts(t, drawn(t, "svg", "", c, sessions)), "unmeasured 1 h 02 min")
	g := sessions[0].Gaps[0]
	p := newPage("", c.Points(detail), sessions)
	middle := p.time.at(float64(g.StartS+g.EndS) / 2)
	picture := decoded(t, drawn(t, "png", "", c, sessions))
	const dots = dotsPI / 72
	for y := p.panels[0].y.from + 30; y < p.panels[0].y.to-1; y += 0.5 {
		r, _, b, _ := picture.At(int(middle*dots)+8, int((p.height-y)*dots)).RGBA()
		require.False(t, isInk(r, b), "the voltage is drawn across the gap")
	}
}

// isInk tells the voltage's dark blue from paper and grid.
func isInk(r, b uint32) bool { return b > r+0x2000 }

func TestFindingsAreMarked(t *testing.T) {
	c, sessions := small()
	sessions[0].Findings = []analyze.Finding{
		{Code: "stalled", Severity: analyze.Warning, AtS: 9000},
		{Code: "over-temperature", Severity: analyze.Alarm, AtS: 9000},
		{Code: "no-taper", Severity: analyze.Warning, AtS: 40_000_000},
		{Code: "running-long", Severity: analyze.Warning, AtS: analyze.Number(analyze.Unknown())},
		{Code: "power-limited", Severity: analyze.Note, AtS: 3000},
	}
	found := texts(t, drawn(t, "svg", "", c, sessions))
	assert.Subset(t, found, []string{"stalled", "over-temperature", "no-taper", "running-long"})
	assert.NotContains(t, found, "power-limited", "a note is no warning")

	picture := decoded(t, drawn(t, "png", "", c, sessions))
	seen := map[color.RGBA]int{}
	for y := range 300 { // above the panels
		for x := range picture.Bounds().Dx() {
			r, g, b, _ := picture.At(x, y).RGBA()
			seen[color.RGBA{uint8(r >> 8), uint8(g >> 8), uint8(b >> 8), 0xff}]++
		}
	}
	for _, mark := range []color.RGBA{alert, warned} {
		assert.Greater(t, seen[mark], 50, "dots of a triangle in %v", mark)
	}
}

// However many findings there are, each keeps its triangle, and the picture
// says how many names it could not place.
func TestTooManyNames(t *testing.T) {
	c, sessions := small()
	for range 40 {
		sessions[0].Findings = append(sessions[0].Findings, analyze.Finding{Code: "meter-silent", Severity: analyze.Warning, AtS: 20_000})
	}
	p := newPage("", c.Points(detail), sessions)
	marks := 0
	for _, n := range p.names {
		if n.finding {
			marks++
		}
	}
	assert.Equal(t, 40, marks)
	assert.GreaterOrEqual(t, p.leftOut, 40-mostLanes)
	assert.Contains(t, p.remark(), "names left out for want of room")
}

func TestPNGHasTheSizeOfThePage(t *testing.T) {
	c, sessions := small()
	b := decoded(t, drawn(t, "png", "night", c, sessions)).Bounds()
	p := newPage("night", c.Points(detail), sessions)
	assert.Equal(t, 1600, b.Dx())
	assert.InDelta(t, float64(p.height)*dotsPI/72, b.Dy(), 1)
}

func decoded(t testing.TB, b []byte) image.Image {
	picture, err := png.Decode(bytes.NewReader(b))
	require.NoError(t, err)
	return picture
}

func TestLittleOrNothing(t *testing.T) {
	var one, voltsOnly curve.Curve
	one.Add(0, 12.6, 1.5, analyze.Unknown())
	for s := range 100 {
		voltsOnly.Add(float64(s), 12.6, analyze.Unknown(), analyze.Unknown())
	}
	unknown := analyze.Number(analyze.Unknown())
	vague := []analyze.Session{{
		StartS: unknown, EndS: unknown, FinishS: unknown, ChargeInAh: unknown, ChargeInAhU95: unknown, EnergyInWh: unknown, HeldV: unknown,
		Outcome: analyze.CutShort, Stages: []analyze.Stage{{Stage: "unheard-of", StartS: 0, EndS: 30, ChargeAh: unknown}, {Stage: analyze.Rest, StartS: unknown, EndS: unknown}},
		Gaps: []analyze.Gap{{StartS: unknown, EndS: unknown}}, Findings: []analyze.Finding{{Code: "stalled", Severity: analyze.Warning, AtS: unknown}},
	}}
	decoded(t, drawn(t, "png", "one row", &one, vague))
	decoded(t, drawn(t, "png", "empty", &curve.Curve{}, nil))
	for name, c := range map[string]*curve.Curve{"empty": {}, "one row": &one, "volts only": &voltsOnly} {
		for _, sessions := range [][]analyze.Session{nil, {{}}, vague} {
			found := texts(t, drawn(t, "svg", name, c, sessions))
			assert.Contains(t, found, name)
			assert.Equal(t, name != "one row", strings.Contains(strings.Join(found, "\n"), "no readings"))
		}
	}
}

func TestTitlesFromFileNames(t *testing.T) {
	for title, want := range map[string]string{
		`<script>"&'` + "\x00\x1b\n\u0085": `<script>"&'`,
		"broken \xff name":                 "broken \uFFFD name",
	} {
		assert.Contains(t, texts(t, drawn(t, "svg", title, &curve.Curve{}, nil)), want)
	}
	long := texts(t, drawn(t, "svg", strings.Repeat("folder/", 5000)+"night.csv", &curve.Curve{}, nil))
	assert.Condition(t, func() bool {
		for _, s := range long {
			if strings.HasPrefix(s, "…") && strings.HasSuffix(s, "/night.csv") && len(s) < 200 {
				return true
			}
		}
		return false
	}, "the end of a long path is what tells: %q", long)
}

func TestOneSpikeIsOnPaper(t *testing.T) {
	var c curve.Curve
	for s := range 200_000 {
		v := 13.6
		if s == 77_777 {
			v = 19
		}
		c.Add(float64(s), v, 1, analyze.Unknown())
	}
	p := newPage("", c.Points(detail), nil)
	assert.Greater(t, p.panels[0].y.high, 19.0)
	assert.LessOrEqual(t, len(p.points), detail)
}

func TestErrorsSayWhat(t *testing.T) {
	err := Draw(io.Discard, "gif", "", &curve.Curve{}, nil)
	assert.EqualError(t, err, `a picture cannot be drawn as "gif": choose svg or png`)
	full := errors.New("no space left")
	for _, format := range formats() {
		err := Draw(failing{full}, format, "", &curve.Curve{}, nil)
		assert.ErrorIs(t, err, full)
	}
}

type failing struct{ err error }

func (f failing) Write([]byte) (int, error) { return 0, f.err }

func BenchmarkSVG(b *testing.B) { benchmark(b, "svg") }
func BenchmarkPNG(b *testing.B) { benchmark(b, "png") }

func benchmark(b *testing.B, format string) {
	c, sessions := night("drill-three-cells")
	for b.Loop() {
		require.NoError(b, Draw(io.Discard, format, "drill", c, sessions))
	}
}
