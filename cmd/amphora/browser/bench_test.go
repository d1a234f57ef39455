//go:build linux

package browser

import (
	"testing"

	"amphora/analyze/madeup"

	"github.com/chromedp/chromedp"
)

// BenchmarkFirstPaint is how long after the address the frame of the page is on the
// screen.
func BenchmarkFirstPaint(b *testing.B) {
	at := newPlace(b)
	at.channel("bench", newMeter(b, madeup.Named("mower-float")))
	page := openTab(b, at.serve(b).page, 1280, "light")
	const first = "performance.getEntriesByName('first-contentful-paint')"
	sum := 0.0
	for b.Loop() {
		page.do(chromedp.Reload())
		page.wait(first + ".length")
		sum += eval[float64](page, first+"[0].startTime")
	}
	b.ReportMetric(sum/float64(b.N), "ms/paint")
}

// BenchmarkZoom is how long a step of the zoom takes that shows a hundred thousand
// rows.
func BenchmarkZoom(b *testing.B) {
	p, id, _ := longNight(b)
	page := openTab(b, p.page+"#/nights/"+id, 1280, "light")
	page.wait("document.querySelector('.curve')?.dataset.to")
	sum := 0.0
	for b.Loop() {
		sum += eval[float64](page, `(async () => {
			const press = document.querySelectorAll(".tools button"), steps = [0, 0, 3, 3, 1, 1], began = performance.now();
			for (const k of steps) {
				press[k].click();
				await new Promise(requestAnimationFrame);
			}
			return (performance.now() - began) / steps.length;
		})()`)
	}
	b.ReportMetric(sum/float64(b.N), "ms/step")
}
