package programme

import (
	"encoding/json"
	"time"
)

// Date is a civil day, written 2026-12-24 (ISO 8601). The zero Date means "not
// given" and is written as an empty string.
type Date struct {
	Year  int
	Month time.Month
	Day   int
}

// DateOf returns the civil day of t in t's own zone.
func DateOf(t time.Time) Date {
	y, m, d := t.Date()
	return Date{y, m, d}
}

// ParseDate reads YYYY-MM-DD; an empty string is the zero Date.
func ParseDate(s string) (Date, error) {
	if s == "" {
		return Date{}, nil
	}
	t, err := time.Parse(time.DateOnly, s)
	if err != nil {
		return Date{}, Refuse(CodeInvalid, "%q is not a date: write it as 2026-12-24.", clip(s))
	}
	return DateOf(t), nil
}

// IsZero tells whether the date is not given.
func (d Date) IsZero() bool { return d == Date{} }

// String returns YYYY-MM-DD, or "" for the zero Date.
func (d Date) String() string {
	if d.IsZero() {
		return ""
	}
	return d.utc().Format(time.DateOnly)
}

// MarshalJSON writes the date as a string.
func (d Date) MarshalJSON() ([]byte, error) { return json.Marshal(d.String()) }

// UnmarshalJSON reads what MarshalJSON writes.
func (d *Date) UnmarshalJSON(b []byte) error {
	var s string
	if err := json.Unmarshal(b, &s); err != nil {
		return Refuse(CodeInvalid, "A date must be text such as 2026-12-24.")
	}
	var err error
	*d, err = ParseDate(s)
	return err
}

// Before tells whether d is an earlier day than e.
func (d Date) Before(e Date) bool { return d.utc().Before(e.utc()) }

// After tells whether d is a later day than e.
func (d Date) After(e Date) bool { return d.utc().After(e.utc()) }

// AddMonths returns the same day n months on; a day that the month does not
// have becomes that month's last day (31 January + 1 month = 28 or 29 February).
func (d Date) AddMonths(n int) Date {
	first := time.Date(d.Year, d.Month+time.Month(n), 1, 0, 0, 0, 0, time.UTC)
	last := first.AddDate(0, 1, -1).Day()
	return Date{first.Year(), first.Month(), min(d.Day, last)}
}

// Sub returns the time from noon of e to noon of d, whole days of 24 hours.
func (d Date) Sub(e Date) time.Duration { return d.utc().Sub(e.utc()) }

// AddDays returns the day n days on.
func (d Date) AddDays(n int) Date { return DateOf(d.utc().AddDate(0, 0, n)) }

// Years returns the completed years from d to on, as for a birth date: a
// person born on 29 February completes a year on 1 March of other years.
func (d Date) Years(on Date) int {
	n := on.Year - d.Year
	if on.Month < d.Month || on.Month == d.Month && on.Day < d.Day {
		n--
	}
	return n
}

func (d Date) utc() time.Time {
	return time.Date(d.Year, d.Month, d.Day, 0, 0, 0, 0, time.UTC)
}
