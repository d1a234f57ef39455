package label

import (
	"fmt"
	"regexp"
	"strings"
	"sync"

	"amphora/analyze/quantity"
)

// Labels write beside a figure what it was measured by: 60 Ah C5, 500 CCA, 540 A (EN).

var (
	// crankingTest is whose test of starting a current belongs to; none of them tells more
	// of a capacity than another.
	crankingTest = pattern(`(?i)\(?(cca|mca|hca|ca|en[12]?|din|sae|jis|iec|bci)\)?`)
	// overHours is C/10, a current that would fill the battery in so many hours.
	overHours = pattern(`(?i)^c\s*/\s*[0-9.]+$`)
	// hourRate is C20, K20 or C/20, the 20-hour rate.
	hourRate = pattern(`(?i)^[ck]\s*/?\s*([0-9.]+)$`)
	// ratedBehind and ratedBefore are a capacity with its hour rate: 60Ah C5, 60 Ah/20HR, 60Ah (20 h), C5 60Ah.
	ratedBehind = pattern(`(?i)^([0-9.]+\s*m?Ah)[\s/(@]*(?:[ck]/?([0-9.]+)|([0-9.]+)\s*(?:h|hr|hrs|hours?))\)?$`)
	ratedBefore = pattern(`(?i)^[ck]/?([0-9.]+)\s*[=:]?\s*([0-9.]+\s*m?Ah)$`)
)

// pattern is compiled when it is first needed, as most commands read no label.
func pattern(text string) func() *regexp.Regexp {
	return sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(text) })
}

// ColdCranking reads the current that a label gives for starting an engine, in A, with
// or without the test that it comes from.
func ColdCranking(text string) (float64, error) {
	amps, err := quantity.Current.Parse(crankingTest().ReplaceAllString(text, " "), "A")
	if err != nil {
		return 0, fmt.Errorf("%q is no current of one test, want text like 540A or 540 CCA", text)
	}
	return amps, nil
}

// RatedTime reads the time in s over which a capacity is rated; a bare number is hours,
// and so is that of C20.
func RatedTime(text string) (float64, error) {
	if m := hourRate().FindStringSubmatch(strings.TrimSpace(text)); m != nil {
		text = m[1]
	}
	return quantity.Time.Parse(text, "h")
}

// Rated says where the hour rate belongs that somebody wrote beside a capacity, or
// returns the error as it was.
func Rated(text string, err error) error {
	text = strings.TrimSpace(text)
	capacity, hours := "", ""
	if m := ratedBehind().FindStringSubmatch(text); m != nil {
		capacity, hours = m[1], m[2]+m[3]
	} else if m := ratedBefore().FindStringSubmatch(text); m != nil {
		capacity, hours = m[2], m[1]
	} else {
		return err
	}
	return fmt.Errorf("%q gives the capacity and the hours it is rated over: write %s, and %s as the rated hours (--rated-hours %s)", text, strings.ReplaceAll(capacity, " ", ""), hours, hours)
}
