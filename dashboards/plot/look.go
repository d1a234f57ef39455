package plot

import (
	"image/color"
	"sync"

	"amphora/analyze"

	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	xfont "golang.org/x/image/font"
	"golang.org/x/image/font/opentype"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// The colours. The three curves differ in lightness as well as in hue (blue,
// orange, plum), so they stay apart for every kind of colour blindness and on
// grey paper; the shades of the stages are paler than anything drawn on them,
// and each stage is named besides.
var (
	paper  = rgb(0xfffefb)
	ink    = rgb(0x2b2f36)
	quiet  = rgb(0x767b85) // axes' numbers, remarks
	grid   = rgb(0xdcdbd6)
	frame  = rgb(0xb4b3ad)
	alert  = rgb(0xb3261e) // alarms; a triangle and a code go with it
	warned = rgb(0xa86400) // warnings

	voltsInk   = rgb(0x1d4f91)
	ampsInk    = rgb(0xc2570c)
	celsiusInk = rgb(0x8a3f7c)
)

// shade is the background of a stage, and the stronger one of its name.
type shade struct{ field, head color.Color }

var shades = map[analyze.StageName]shade{
	analyze.Idle:            {rgb(0xf6f5f2), rgb(0xe9e7e1)},
	analyze.ConstantCurrent: {rgb(0xfdf3e3), rgb(0xf8dfb8)},
	analyze.ConstantVoltage: {rgb(0xeaf2fa), rgb(0xc8def2)},
	analyze.Finish:          {rgb(0xe9f5ef), rgb(0xc2e4d3)},
	analyze.Rest:            {rgb(0xf4f1f7), rgb(0xe2dcea)},
}

func shadeOf(name analyze.StageName) shade {
	if s, ok := shades[name]; ok {
		return s
	}
	return shades[analyze.Idle]
}

func rgb(hex uint32) color.RGBA {
	return color.RGBA{R: uint8(hex >> 16), G: uint8(hex >> 8), B: uint8(hex), A: 0xff}
}

// fonts holds the two faces used, so that a program need not carry the twelve
// of the whole family. They are read when the first picture is drawn.
var fonts = sync.OnceValue(func() *font.Cache {
	return font.NewCache(font.Collection{
		face(liberationsansregular.TTF, xfont.WeightNormal),
		face(liberationsansbold.TTF, xfont.WeightBold),
	})
})

func face(ttf []byte, weight xfont.Weight) font.Face {
	parsed, err := opentype.Parse(ttf)
	if err != nil {
		panic(err) // the face is part of the program
	}
	return font.Face{Font: font.Font{Typeface: "Liberation", Variant: "Sans", Weight: weight}, Face: parsed}
}

// lettering is a style of text; x and y say which point of it is given.
func lettering(size vg.Length, c color.Color, x text.XAlignment, y text.YAlignment) text.Style {
	return text.Style{
		Color: c, XAlign: x, YAlign: y, Handler: text.Plain{Fonts: fonts()},
		Font: font.Font{Typeface: "Liberation", Variant: "Sans", Size: size},
	}
}

func bold(s text.Style) text.Style {
	s.Font.Weight = xfont.WeightBold
	return s
}

func pen(w vg.Length, c color.Color, dashes ...vg.Length) draw.LineStyle {
	return draw.LineStyle{Color: c, Width: w, Dashes: dashes}
}
