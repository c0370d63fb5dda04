package programme

import (
	"context"
	"slices"
	"strconv"

	"firnhand/core/decide"
)

// growth returns the limit beyond which a set-up is void.
func (n Numbers) growth() float64 {
	if n.GrowthCM > 0 {
		return n.GrowthCM
	}
	return growthOf(nil)
}

// growthOf reads the rules' limit of growth from what was signed off, or as it
// is proposed.
func growthOf(signed map[string]SettingState) float64 {
	const name = "growth_cm"
	for _, s := range decide.Standing().Settings() {
		if s.Name != name {
			continue
		}
		if v, err := strconv.ParseFloat(signed[name].Value, 64); err == nil && v >= s.Min && v <= s.Max {
			return v
		}
		return s.Value
	}
	return 0
}

// ProposeSetUp implements [UseCases].
func (s *Service) ProposeSetUp(ctx context.Context, a Actor, m Made, student ID, p SetUpProposal) (Receipt, error) {
	if err := allow(a, WriteSetUp); err != nil {
		return Receipt{}, err
	}
	if err := p.check(); err != nil {
		return Receipt{}, err
	}
	f, err := s.fact(a, m, student, KindSetUpProposed, "", p)
	if err != nil {
		return Receipt{}, err
	}
	return s.putOn(ctx, f, func(r Record) error {
		n, err := s.Store.Counts(ctx)
		if err == nil && p.UpTo > n.LastSeq {
			err = Refuse(CodeInvalid, "The sheet names facts up to %d, but the last one is %d.", p.UpTo, n.LastSeq)
		}
		return err
	})
}

// MeasureSetUp implements [UseCases].
func (s *Service) MeasureSetUp(ctx context.Context, a Actor, m Made, student ID, v SetUpMeasures) (Receipt, error) {
	if err := allow(a, WriteSetUp); err != nil {
		return Receipt{}, err
	}
	if err := v.check(); err != nil {
		return Receipt{}, err
	}
	f, err := s.fact(a, m, student, KindSetUpMeasured, "", v)
	if err != nil {
		return Receipt{}, err
	}
	return s.putOn(ctx, f, func(r Record) error {
		sheet, err := openSheet(r, v.SetUp)
		if err != nil {
			return err
		}
		if sheet.Status == SetUpSigned {
			return Refuse(CodeConflict, "This version is signed by two people. Propose a new one to change it.")
		}
		for _, one := range v.Values {
			if err := fits(sheet, one); err != nil {
				return err
			}
		}
		return nil
	})
}

// openSheet finds the newest version, which alone is written on.
func openSheet(r Record, id ID) (SetUpState, error) {
	sheet, ok := r.SetUpByID(id)
	switch {
	case !ok:
		return sheet, Refuse(CodeNotFound, "This student's record has no such set-up sheet.")
	case sheet.Version != len(r.SetUps):
		return sheet, Refuse(CodeConflict, "A later version of the set-up sheet stands in the place of this one.")
	case sheet.Status == SetUpVoid:
		return sheet, Refuse(CodeConflict, "This version is void. %s Propose a new one.", sheet.Void[0].Say)
	}
	return sheet, nil
}

// fits checks one measured value against its line.
func fits(sheet SetUpState, v SetUpValue) error {
	it, _, ok := sheet.Item(v.Item, v.Side)
	switch {
	case !ok:
		return Refuse(CodeNotFound, "The set-up sheet has no line %s (%s).", clip(v.Item), v.Side)
	case it.Unit != "" && v.Value == nil:
		return Refuse(CodeInvalid, "%s (%s) is a number in %s.", it.Label, it.Side, it.Unit)
	case it.Unit != "" && v.Words != "":
		return Refuse(CodeInvalid, "%s (%s) is a number in %s; put words into the note.", it.Label, it.Side, it.Unit)
	case it.Unit == "" && v.Value != nil:
		return Refuse(CodeInvalid, "%s (%s) is said in words.", it.Label, it.Side)
	case it.Unit == "" && v.Words == "":
		return Refuse(CodeInvalid, "What was chosen for %s (%s) is missing.", it.Label, it.Side)
	case len(it.Holes) > 0 && v.Hole > len(it.Holes):
		return Refuse(CodeInvalid, "%s (%s) has %d holes.", it.Label, it.Side, len(it.Holes))
	case it.Unit != "" && *v.Value < 0 && (it.Low == nil || *it.Low >= 0):
		return Refuse(CodeInvalid, "%s (%s) cannot be below 0.", it.Label, it.Side)
	}
	return nil
}

// SignSetUp implements [UseCases].
func (s *Service) SignSetUp(ctx context.Context, a Actor, m Made, student ID, sg SetUpSignature) (Receipt, error) {
	if err := allow(a, WriteSetUp); err != nil {
		return Receipt{}, err
	}
	if err := sg.SetUp.Check(); err != nil {
		return Receipt{}, err
	}
	f, err := s.fact(a, m, student, KindSetUpSigned, "", sg)
	if err != nil {
		return Receipt{}, err
	}
	return s.putOn(ctx, f, func(r Record) error {
		sheet, err := openSheet(r, sg.SetUp)
		switch {
		case err != nil:
			return err
		case !sheet.Complete():
			return Refuse(CodeConflict, "Not everything on the sheet is measured on the person yet.")
		case len(sheet.Signatures) == 2:
			return Refuse(CodeConflict, "This version is signed by two people already.")
		case len(sheet.Signatures) == 1 && sheet.Signatures[0].By == a.Staff:
			return Refuse(CodeConflict, "You signed this version already. A second person signs it too.")
		}
		return nil
	})
}

// RecordGearChange implements [UseCases].
func (s *Service) RecordGearChange(ctx context.Context, a Actor, m Made, student ID, g GearChange) (Receipt, error) {
	if err := allow(a, WriteSetUp); err != nil {
		return Receipt{}, err
	}
	if err := g.check(); err != nil {
		return Receipt{}, err
	}
	f, err := s.fact(a, m, student, KindGearChanged, "", g)
	if err != nil {
		return Receipt{}, err
	}
	return s.putOn(ctx, f, nil)
}

// AskBinding implements [UseCases].
func (s *Service) AskBinding(ctx context.Context, a Actor, m Made, student ID, g BindingGear) (Receipt, error) {
	if err := allow(a, RequestBinding); err != nil {
		return Receipt{}, err
	}
	if err := g.check(s.today()); err != nil {
		return Receipt{}, err
	}
	if m.ID != "" { // the sheet follows the record, which grows; a retry is known by what was typed
		if got, err := s.askedBefore(ctx, a, m.ID, student, g); err != nil || got.Outcome == Exists {
			return got, err
		}
	}
	r, err := s.load(ctx, student, AsOf{})
	if err != nil {
		return Receipt{}, err
	}
	signed, err := s.settings(ctx, AsOf{})
	if err != nil {
		return Receipt{}, err
	}
	t, err := s.tables.For(signed)
	if err != nil {
		return Receipt{}, err
	}
	f, err := s.fact(a, m, student, KindBindingRequested, "", BindingRequest{Gear: g, Sheet: BindingSheetOf(t, r, g, a.Name), Rules: t.Version})
	if err != nil {
		return Receipt{}, err
	}
	return s.putOn(ctx, f, nil)
}

// askedBefore finds the request that a retry is about; an empty receipt means
// that there is none.
func (s *Service) askedBefore(ctx context.Context, a Actor, id, student ID, g BindingGear) (Receipt, error) {
	if err := id.Check(); err != nil {
		return Receipt{}, err
	}
	had, err := s.Store.Fact(ctx, id)
	if CodeOf(err) == CodeNotFound {
		return Receipt{}, nil
	}
	if err != nil {
		return Receipt{}, err
	}
	var b BindingRequest
	if had.Kind != KindBindingRequested || had.Student != student || had.Author != a.Staff || had.Read(&b) != nil || !sameGear(b.Gear, g) {
		return Receipt{}, idTaken(id)
	}
	return Receipt{ID: had.ID, Outcome: Exists, Seq: had.Seq, RecordedAt: had.RecordedAt}, nil
}

func sameGear(a, b BindingGear) bool {
	same := func(x, y *bool) bool { return x == y || x != nil && y != nil && *x == *y }
	return a.Left == b.Left && a.Right == b.Right && a.Type == b.Type && a.LastTest == b.LastTest && same(a.Lent, b.Lent) && same(a.Line, b.Line)
}

// RecordBindingTest implements [UseCases].
func (s *Service) RecordBindingTest(ctx context.Context, a Actor, m Made, student ID, b BindingRecord) (Receipt, error) {
	if err := allow(a, RecordBinding); err != nil {
		return Receipt{}, err
	}
	if err := b.check(s.today()); err != nil {
		return Receipt{}, err
	}
	r, err := s.load(ctx, student, AsOf{})
	if err != nil {
		return Receipt{}, err
	}
	asked, ok := r.BindingByID(b.Request)
	if !ok {
		return Receipt{}, Refuse(CodeNotFound, "This student's record has no such request to the technician.")
	}
	if err := b.judge(asked.BindingRequest); err != nil {
		return Receipt{}, err
	}
	f, err := s.fact(a, m, student, KindBindingRecorded, "", b)
	if err != nil {
		return Receipt{}, err
	}
	return s.putOn(ctx, f, func(r Record) error {
		asked, _ := r.BindingByID(b.Request)
		switch {
		case asked.Status == BindingReplaced:
			return Refuse(CodeConflict, "A later request stands in the place of this one.")
		case len(asked.Void) > 0:
			return Refuse(CodeConflict, "%s Ask again before anything is recorded.", asked.Void[0].Say)
		}
		return nil
	})
}

// WaitingBinding is one request that no technician has answered.
type WaitingBinding struct {
	Request  ID
	Student  ID
	NameUsed string
	Asked    Provenance
	Reasons  int // how many reasons why the usual table may not apply
	Void     bool
}

// WaitingBindings implements [UseCases].
func (s *Service) WaitingBindings(ctx context.Context, a Actor) ([]WaitingBinding, error) {
	if err := allow(a, ReadBinding); err != nil {
		return nil, err
	}
	facts, err := s.Store.Facts(ctx, Query{Everyone: true, Kinds: []Kind{KindBindingRequested}})
	if err != nil {
		return nil, err
	}
	out, seen := []WaitingBinding{}, map[ID]bool{}
	for _, f := range facts {
		if seen[f.Student] {
			continue
		}
		seen[f.Student] = true
		r, err := s.load(ctx, f.Student, AsOf{})
		if err != nil {
			return nil, err
		}
		b, ok := r.Binding()
		if !ok || b.Status != BindingWaits || r.Ended || r.Forgotten {
			continue
		}
		out = append(out, WaitingBinding{b.ID, f.Student, r.NameUsed, b.Provenance, len(b.Sheet.Reasons), len(b.Void) > 0})
	}
	slices.SortFunc(out, func(x, y WaitingBinding) int { return int(x.Asked.Seq - y.Asked.Seq) })
	return out, nil
}

// mayRetractGear checks the right to take a fact of set-up or bindings out of
// the record.
func mayRetractGear(a Actor, r Record, e Entry) error {
	switch e.Kind {
	case KindSetUpProposed:
		return Refuse(CodeConflict, "A set-up sheet is replaced by a new version, not retracted.")
	case KindBindingRequested:
		if b, ok := r.BindingByID(e.First); ok && b.Record != nil {
			return Refuse(CodeConflict, "A technician answered this request; it stays in the record.")
		}
		return allow(a, RequestBinding)
	case KindBindingRecorded:
		return allow(a, RecordBinding)
	}
	return allow(a, WriteSetUp)
}
