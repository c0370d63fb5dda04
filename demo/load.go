package demo

import (
	"context"
	"fmt"
	"time"

	"firnhand/programme"
)

// Clock is the programme's clock, as Load needs it: it can be moved, so that
// every record is made on its own day.
type Clock interface {
	programme.Clock
	// Advance moves the clock by d, which may be negative.
	Advance(d time.Duration)
}

// Report says what a load did.
type Report struct {
	Created int // facts that are new
	Exists  int // facts that were there already
	Later   int // steps left out because their day has not come
}

// step is one use case of the season, at its moment.
type step struct {
	at   time.Time
	what string // for an error: "students/tilde.yaml, 2025-12-06 09:10: evaluation"
	do   func(ctx context.Context, uc programme.UseCases) ([]programme.Receipt, error)
}

// Load writes the season into the programme behind uc, up to the moment at
// which the clock stands: that is the demo's today, and what lies after it is
// left out. clock must be the clock that uc was made with; Load moves it
// through the season and leaves it where it was.
//
// The programme must be empty or hold this demo. Loading again writes nothing
// twice; loading later with a later today adds what has happened since. Errors
// are *programme.Error and name the step.
func Load(ctx context.Context, uc programme.UseCases, clock Clock) (Report, error) {
	p, err := Read()
	if err != nil {
		return Report{}, programme.Fail(programme.CodeInternal, err, "The demo's files cannot be read.")
	}
	return p.load(ctx, uc, clock)
}

func (p *Programme) load(ctx context.Context, uc programme.UseCases, clock Clock) (Report, error) {
	var rep Report
	today := clock.Now()
	defer func() { clock.Advance(today.Sub(clock.Now())) }()
	for i, s := range p.steps {
		if s.at.After(today) {
			rep.Later = len(p.steps) - i
			break
		}
		clock.Advance(s.at.Sub(clock.Now()))
		got, err := s.do(ctx, uc)
		if err != nil {
			code := programme.CodeOf(err)
			return rep, programme.Fail(code, fmt.Errorf("%s: %w", s.what, err),
				"The demo could not be loaded: %s", programme.SentenceOf(err))
		}
		for _, r := range got {
			switch {
			case r.Outcome == programme.Exists:
				rep.Exists++
			case r.RecordedAt.After(s.at):
				return rep, programme.Fail(programme.CodeConflict, fmt.Errorf("%s: recorded at %s", s.what, r.RecordedAt),
					"The demo needs a programme of its own whose clock it can move.")
			default:
				rep.Created++
			}
		}
	}
	return rep, nil
}
