package logbook

import (
	"errors"
	"fmt"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"amphora/analyze"
)

// Battery is what its owner knows of one battery. What is not known is nil, or
// empty text; both are null in JSON.
type Battery struct {
	Name           string             `json:"name"` // what sessions and readings call it
	Chemistry      *analyze.Chemistry `json:"chemistry"`
	Cells          *int               `json:"cells"`           // in series
	CapacityAh     *float64           `json:"capacity_ah"`     // Ah, as the label says
	CapacityHours  *float64           `json:"capacity_hours"`  // h, the discharge time that the capacity is rated at
	ReserveMinutes *float64           `json:"reserve_minutes"` // min, as the label says
	Bought         Date               `json:"bought"`
	Where          Text               `json:"where"` // where it was bought or stands
	Note           Text               `json:"note"`
	Retired        *time.Time         `json:"retired"` // nil while it is in use
}

// NewBattery makes a battery of the given fields.
func NewBattery(given Fields) (Battery, error) {
	b, err := overlay(Battery{}, given)
	if err != nil {
		return Battery{}, err
	}
	return b.checked()
}

// With returns the battery with the given fields changed. The name stays: a
// recorder's settings and the raw record go on using it, so that under a new
// name the battery would lose its charges.
func (b Battery) With(given Fields) (Battery, error) {
	changed, err := overlay(b, given)
	if err != nil {
		return Battery{}, err
	}
	if changed.Name != b.Name {
		return Battery{}, &Invalid{"name", fmt.Sprintf(
			"stays %q, because sessions and readings refer to it; retire this battery and add another", b.Name)}
	}
	return changed.checked()
}

// checked returns the battery in the form that is stored, or says which field
// cannot be right. The limits only catch slips of a unit or of the finger.
func (b Battery) checked() (Battery, error) {
	chemistry, chemistryErr := checkChemistry(b.Chemistry)
	b.Chemistry = chemistry
	if b.Retired != nil {
		b.Retired = new(stamp(*b.Retired))
	}
	return b, errors.Join(
		checkName(b.Name),
		chemistryErr,
		checkCells(b.Cells),
		checkRange("capacity_ah", b.CapacityAh, 0, 100_000, "Ah"),
		checkRange("capacity_hours", b.CapacityHours, 0, 1000, "h"),
		checkRange("reserve_minutes", b.ReserveMinutes, 0, 10_000, "min"),
		checkDate("bought", b.Bought),
		checkText("where", b.Where),
		checkText("note", b.Note),
		checkTime("retired", b.Retired),
	)
}

// checkName keeps names fit for a command line, an address and a label: a
// leading "-" would be a flag, a "/" another page.
func checkName(name string) error {
	first, _ := utf8.DecodeRuneInString(name)
	switch {
	case name == "":
		return &Invalid{"name", "is missing"}
	case !utf8.ValidString(name):
		return &Invalid{"name", fmt.Sprintf("is not UTF-8 text: %q", name)}
	case utf8.RuneCountInString(name) > 64:
		return &Invalid{"name", fmt.Sprintf("has %d characters, want 64 at most", utf8.RuneCountInString(name))}
	case !unicode.IsLetter(first) && !unicode.IsDigit(first):
		return &Invalid{"name", fmt.Sprintf("is %q, want a letter or a digit in front", name)}
	case strings.HasSuffix(name, " "):
		return &Invalid{"name", fmt.Sprintf("is %q, want no space at the end", name)}
	case strings.ContainsAny(name, `/\`) || strings.ContainsFunc(name, unprintable):
		return &Invalid{"name", fmt.Sprintf("is %q, want no slash and nothing unprintable in it", name)}
	}
	return nil
}

func unprintable(r rune) bool { return !unicode.IsPrint(r) }

func checkChemistry(c *analyze.Chemistry) (*analyze.Chemistry, error) {
	if c == nil {
		return nil, nil
	}
	known, err := analyze.ParseChemistry(string(*c))
	if err != nil {
		return nil, &Invalid{"chemistry", fmt.Sprintf("is not usable: %v", err)}
	}
	return &known, nil
}

func checkCells(cells *int) error {
	if cells != nil && (*cells < 1 || *cells > 1000) {
		return &Invalid{"cells", fmt.Sprintf("is %d, want 1 to 1000", *cells)}
	}
	return nil
}
