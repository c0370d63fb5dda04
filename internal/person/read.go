package person

import (
	"fmt"
	"slices"
	"sort"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"firnhand/core/decide"
	"firnhand/core/finding"
	"firnhand/programme"
)

// reader fills a Person from nodes and keeps what is wrong.
type reader struct {
	p        *Person
	first    map[finding.Key]where
	problems Problems
}

// where says how a value came to be set.
type where struct {
	line     int
	spelling string
}

func (r *reader) refuse(code string, line int, format string, args ...any) {
	if len(r.problems) < maxProblems {
		r.problems = append(r.problems, Problem{code, fmt.Sprintf(format, args...), line})
	}
}

func (r *reader) sorted() Problems {
	sort.SliceStable(r.problems, func(i, j int) bool { return r.problems[i].Line < r.problems[j].Line })
	return r.problems
}

// blocks are the keys of the file's top level.
var blocks = []string{"person", "gates", "gates_in", "eval", "measured", "holds", "clearances", "unlisted", "contacts", "notes"}

func (r *reader) file(root *node) {
	if root.kind != isMap {
		r.refuse("not_a_person", root.line, "A person's file begins with keys such as person:, gates: and eval:.")
		return
	}
	gates := ""
	for _, p := range root.pairs {
		switch p.key {
		case "person":
			r.block(p, r.personKey)
		case "gates", "gates_in":
			if gates != "" {
				r.refuse("given_twice", p.line, "gates and gates_in are two names of one block: put everything into one of them.")
			}
			gates = p.key
			r.block(p, nil)
		case "eval":
			r.block(p, nil)
		case "measured":
			r.measured(p)
		case "holds":
			r.list(p, r.hold)
		case "clearances":
			r.list(p, r.clearance)
		case "notes":
			r.notes(p)
		case "contacts":
			r.contacts(p)
		case "unlisted":
			r.unlisted(p)
		default:
			r.refuse("unknown_key", p.line, "There is no block called %s; the blocks are %s.%s", quote(p.key), strings.Join(blocks, ", "), r.belongs(p.key))
		}
	}
	r.shorterLeg()
}

// belongs says where a finding goes that was written at the top.
func (r *reader) belongs(key string) string {
	if known(key) {
		return " A finding goes into gates: or eval:."
	}
	return closest(key, blocks)
}

func (r *reader) unlisted(p pair) {
	switch w := strings.ToLower(p.value.words); {
	case p.value.kind == isWords && (w == string(AsUnknown) || w == string(AlsoMeasured)):
		r.p.Unlisted = Policy(w)
	default:
		r.refuse("unknown_level", p.line, "unlisted is \"unknown\" (assume nothing) or \"normal\" (a few measured findings count as normal too); leave it out for the usual way.")
	}
}

// block reads a map of findings; own takes keys that only this block has.
func (r *reader) block(p pair, own func(pair) bool) {
	if p.value.kind == isWords && p.value.words == "" {
		return
	}
	if p.value.kind != isMap {
		r.refuse("not_a_person", p.line, "%s: holds keys and values, one a line.", p.key)
		return
	}
	for _, q := range p.value.pairs {
		if own != nil && own(q) {
			continue
		}
		r.finding(q)
	}
}

// personKey takes the keys of person: that are no findings.
func (r *reader) personKey(p pair) bool {
	switch p.key {
	case "name":
		r.p.Name = r.line(p, maxName)
	case "slot":
		r.p.Slot = r.line(p, maxSlot)
	case "lesson_code", "code":
		if r.p.LessonCode != "" {
			r.refuse("given_twice", p.line, "The lesson code is given twice.")
		}
		r.p.LessonCode = r.line(p, maxCode)
	default:
		return false
	}
	return true
}

// line reads words on one line of at most most characters.
func (r *reader) line(p pair, most int) string {
	w := p.value.words
	switch {
	case p.value.kind != isWords:
		r.refuse("invalid", p.line, "%s takes words on one line.", p.key)
		return ""
	case utf8.RuneCountInString(w) > most:
		r.refuse("too_long", p.line, "%s takes at most %d characters; this has %d.", p.key, most, utf8.RuneCountInString(w))
		return ""
	case strings.ContainsFunc(w, unprintable):
		r.refuse("invalid", p.line, "%s takes plain words on one line.", p.key)
		return ""
	}
	return w
}

// unprintable finds control characters and marks that turn the direction of
// writing.
func unprintable(c rune) bool {
	return unicode.IsControl(c) || c == '\u2028' || c == '\u2029' || c >= '\u202a' && c <= '\u202e' || c >= '\u2066' && c <= '\u2069'
}

func (r *reader) notes(p pair) {
	if p.value.kind == isWords && p.value.words == "" {
		return
	}
	if p.value.kind != isMap {
		r.refuse("invalid", p.line, "notes: holds what each note is about and its text, one a line.")
		return
	}
	for _, q := range p.value.pairs {
		r.note(q, q.key)
	}
}

// contacts reads whom to call, for the card.
func (r *reader) contacts(p pair) {
	if p.value.kind != isMap || len(p.value.pairs) > maxContacts {
		r.refuse("invalid", p.line, "contacts: holds who and how, one a line, at most %d: \"Patrol: radio 1\".", maxContacts)
		return
	}
	for _, q := range p.value.pairs {
		if utf8.RuneCountInString(q.key) > maxWho || strings.ContainsFunc(q.key, unprintable) {
			r.refuse("too_long", q.line, "Who a contact is takes at most %d characters.", maxWho)
			continue
		}
		if how := r.line(q, maxHow); how != "" {
			r.p.Contacts = append(r.p.Contacts, Note{q.key, how, q.line})
		}
	}
}

func (r *reader) note(p pair, about string) {
	if utf8.RuneCountInString(about) > maxName || strings.ContainsFunc(about, unprintable) {
		r.refuse("too_long", p.line, "What a note is about takes at most %d characters.", maxName)
		return
	}
	if text := r.line(pair{clip(p.key, maxName), p.line, p.value}, maxNote); text != "" {
		r.p.Notes = append(r.p.Notes, Note{about, text, p.line})
	}
}

// finding reads one key of person:, gates: or eval:.
func (r *reader) finding(p pair) {
	if about, ok := remarks[p.key]; ok {
		r.note(p, about)
		return
	}
	if _, ok := laterals[p.key]; ok {
		r.lateral(p)
		return
	}
	if p.key == "load_test" && p.value.kind == isMap {
		r.loadTest(p)
		return
	}
	a, d, ok := lookup(p.key)
	if !ok {
		r.refuse("unknown_finding", p.line, "There is no finding called %s.%s", quote(p.key), closest(p.key, spellings()))
		return
	}
	if bend, path, both := kneeWords(p.value.words); d.ID == "knee_bend" && both {
		r.set(d, alias{}, p, bend, finding.NoSide)
		if path2, ok := finding.Lookup("knee_path"); ok {
			r.set(path2, alias{}, p, path, finding.NoSide)
		}
		return
	}
	r.value(d, a, p, finding.NoSide, nil)
}

// lookup finds the definition behind a spelling.
func lookup(key string) (alias, *finding.Def, bool) {
	if d, ok := finding.Lookup(key); ok {
		return alias{to: key}, d, true
	}
	if a, ok := aliases[key]; ok {
		d, ok := finding.Lookup(a.to)
		return a, d, ok
	}
	return alias{}, nil, false
}

// known tells whether a key is a spelling of a finding.
func known(key string) bool {
	_, _, ok := lookup(key)
	_, lateral := laterals[key]
	return ok || lateral
}

// value reads what is written for a finding: words, {L, R}, {fresh, tired} or
// one inside the other.
func (r *reader) value(d *finding.Def, a alias, p pair, side finding.Side, state *finding.State) {
	n := p.value
	switch n.kind {
	case isList:
		r.refuse("invalid", p.line, "%s takes one value, or {L: .., R: ..}, not a list.", p.key)
		return
	case isWords:
		r.words(d, a, p, side, state)
		return
	}
	if len(n.pairs) == 0 {
		r.refuse("invalid", p.line, "%s has an empty map.", p.key)
	}
	for _, q := range n.pairs {
		line := q.line
		switch part := strings.ToLower(q.key); part {
		case "l", "left", "r", "right":
			if side != finding.NoSide {
				r.refuse("wrong_side", line, "%s: a side inside a side.", p.key)
				continue
			}
			s := finding.Left
			if part[0] == 'r' {
				s = finding.Right
			}
			r.value(d, a, pair{p.key, line, q.value}, s, state)
		case "fresh", "tired":
			if state != nil {
				r.refuse("wrong_state", line, "%s: fresh or tired inside fresh or tired.", p.key)
				continue
			}
			if !d.Tiring {
				r.refuse("wrong_state", line, "%s (%s) has no fresh and tired values: write one.", d.Label, p.key)
				continue
			}
			st := finding.Fresh
			if part == "tired" {
				st = finding.Tired
			}
			r.value(d, a, pair{p.key, line, q.value}, side, &st)
		default:
			r.refuse("unknown_key", line, "%s takes L and R, or fresh and tired, not %s.", p.key, quote(q.key))
		}
	}
}

// words reads a single value; "4/3" is fresh and tired.
func (r *reader) words(d *finding.Def, a alias, p pair, side finding.Side, state *finding.State) {
	text := p.value.words
	if fresh, tired, two := strings.Cut(text, "/"); two && d.Scale != finding.Text && !strings.EqualFold(text, "n/a") {
		switch {
		case state != nil:
			r.refuse("wrong_state", p.line, "%s: fresh or tired inside fresh or tired.", p.key)
		case !d.Tiring:
			r.refuse("wrong_state", p.line, "%s (%s) has no fresh and tired values: write one.", d.Label, p.key)
		default:
			f, t := finding.Fresh, finding.Tired
			r.one(d, a, p, strings.TrimSpace(fresh), side, &f)
			r.one(d, a, p, strings.TrimSpace(tired), side, &t)
		}
		return
	}
	r.one(d, a, p, text, side, state)
}

// one stores one value: for both sides where a sided finding is written
// without them, for both states where it is written without fresh and tired.
func (r *reader) one(d *finding.Def, a alias, p pair, text string, side finding.Side, state *finding.State) {
	sides := []finding.Side{side}
	if d.Sided && side == finding.NoSide {
		switch strings.ToLower(text) {
		case "", "unknown", "na", "n/a":
		default:
			if d.Scale == finding.Number {
				r.refuse("wrong_side", p.line, "%s (%s) is measured on the left and the right apart: write {L: .., R: ..}.", d.Label, p.key)
				return
			}
		}
		sides = []finding.Side{finding.Left, finding.Right}
	}
	for _, s := range sides {
		if state == nil {
			r.set(d, a, p, text, s)
		} else {
			r.put(d, a, p, text, finding.Key{ID: d.ID, Side: s, State: *state})
		}
	}
}

// set stores a value for every state of a finding.
func (r *reader) set(d *finding.Def, a alias, p pair, text string, side finding.Side) {
	r.put(d, a, p, text, finding.Key{ID: d.ID, Side: side, State: finding.Fresh})
	if d.Tiring {
		r.put(d, a, p, text, finding.Key{ID: d.ID, Side: side, State: finding.Tired})
	}
}

func (r *reader) put(d *finding.Def, a alias, p pair, written string, k finding.Key) {
	if strings.ContainsFunc(written, unprintable) {
		r.refuse("invalid", p.line, "%s takes plain words on one line.", p.key)
		return
	}
	text, keep := meant(d, a, written)
	v, err := finding.Parse(k.ID, k.Side, k.State, text)
	if err != nil {
		e, ok := err.(*finding.Error)
		if !ok {
			e = &finding.Error{Code: "invalid", Sentence: err.Error()}
		}
		r.refuseOnce(e.Code, p.line, e.Sentence)
		return
	}
	if old, twice := r.p.Findings[k]; twice && old != v {
		f := r.first[k]
		r.refuse("given_twice", p.line, "%s is given twice: %s on line %d (%s) and %s here (%s).", say(d, k),
			finding.Format(d, old), f.line, f.spelling, finding.Format(d, v), p.key)
		return
	}
	r.p.Findings[k] = v
	r.first[k] = where{p.line, p.key}
	if keep != "" && (k.State == finding.Fresh || !d.Tiring) {
		r.p.Notes = append(r.p.Notes, Note{d.Label, clip(keep, maxNote), p.line})
	}
}

// refuseOnce leaves out a sentence that the same line has already.
func (r *reader) refuseOnce(code string, line int, sentence string) {
	if !slices.Contains(r.problems, Problem{code, sentence, line}) {
		r.refuse(code, line, "%s", sentence)
	}
}

func say(d *finding.Def, k finding.Key) string {
	parts := []string{d.Label}
	if k.Side != finding.NoSide {
		parts = append(parts, k.Side.Word())
	}
	if d.Tiring {
		parts = append(parts, k.State.String())
	}
	return strings.Join(parts, ", ")
}

// lateral reads the four pushes in their short form.
func (r *reader) lateral(p pair) {
	to := laterals[p.key]
	if p.value.kind != isMap {
		r.refuse("invalid", p.line, "%s takes {LO: .., LI: .., RO: .., RI: ..}: left and right, push out and push in.", p.key)
		return
	}
	for _, q := range p.value.pairs {
		w, ok := lateralWords[strings.ToUpper(q.key)]
		if !ok {
			r.refuse("unknown_key", q.line, "%s takes LO, LI, RO and RI, not %s.", p.key, quote(q.key))
			continue
		}
		id := to[1]
		if w.out {
			id = to[0]
		}
		d, _ := finding.Lookup(id)
		r.value(d, alias{to: id}, pair{p.key, q.line, q.value}, w.side, nil)
	}
}

// loadTest reads {pass: yes, pain: no}.
func (r *reader) loadTest(p pair) {
	for _, q := range p.value.pairs {
		id := ""
		switch q.key {
		case "pass":
			id = "load_test"
		case "pain":
			id = "load_pain"
		case "buckle_s":
			r.note(q, remarks["buckle_s"])
			continue
		default:
			r.refuse("unknown_key", q.line, "load_test takes pass, pain and buckle_s, not %s.", quote(q.key))
			continue
		}
		d, _ := finding.Lookup(id)
		r.value(d, alias{to: id}, pair{"load_test " + q.key, q.line, q.value}, finding.NoSide, nil)
	}
}

// shorterLeg sets the other leg to 0 where only one is said to be shorter.
func (r *reader) shorterLeg() {
	left, okL := r.p.Findings[finding.Key{ID: "leg_short_mm", Side: finding.Left}]
	right, okR := r.p.Findings[finding.Key{ID: "leg_short_mm", Side: finding.Right}]
	zero := finding.Value{Kind: finding.Known}
	switch {
	case okL && !okR && left.Kind == finding.Known && left.X > 0:
		r.p.Findings[finding.Key{ID: "leg_short_mm", Side: finding.Right}] = zero
	case okR && !okL && right.Kind == finding.Known && right.X > 0:
		r.p.Findings[finding.Key{ID: "leg_short_mm", Side: finding.Left}] = zero
	}
}

// list reads a list of maps.
func (r *reader) list(p pair, one func(*node)) {
	switch p.value.kind {
	case isList:
		for _, n := range p.value.items {
			one(n)
		}
	case isMap:
		one(p.value)
	default:
		if p.value.words != "" {
			r.refuse("invalid", p.line, "%s: is a list; begin each entry with a dash.", p.key)
		}
	}
}

// fields reads a map with known keys; nil after a refusal of its form.
func (r *reader) fields(n *node, what string, keys ...string) map[string]string {
	if n.kind != isMap {
		r.refuse("invalid", n.line, "A %s is written with the keys %s.", what, strings.Join(keys, ", "))
		return nil
	}
	out := map[string]string{}
	for _, p := range n.pairs {
		if !slices.Contains(keys, p.key) {
			r.refuse("unknown_key", p.line, "A %s has no key %s; it has %s.%s", what, quote(p.key), strings.Join(keys, ", "), closest(p.key, keys))
			continue
		}
		out[p.key] = r.line(p, maxNote)
	}
	return out
}

func (r *reader) hold(n *node) {
	f := r.fields(n, "hold", "what", "because", "clears")
	if f == nil {
		return
	}
	h := Hold{Because: f["because"], Clears: f["clears"], Line: n.line}
	switch f["what"] {
	case "no_skiing":
		h.Effect = decide.Hold
	case "no_standing":
		h.Effect = decide.HoldStanding
	default:
		r.refuse("unknown_level", n.line, "A hold's what is no_skiing or no_standing, not %s.", quote(f["what"]))
	}
	if h.Because == "" {
		r.refuse("invalid", n.line, "A hold needs because: one sentence that says why.")
	}
	r.p.Holds = append(r.p.Holds, h)
}

func (r *reader) clearance(n *node) {
	f := r.fields(n, "clearance", "gate", "cleared_by", "role_of_clearer", "recorded_by", "recorder_role", "on", "until", "in_writing")
	if f == nil {
		return
	}
	c := Clearance{Gate: f["gate"], ClearedBy: f["cleared_by"], Role: asID(f["role_of_clearer"]), RecordedBy: f["recorded_by"],
		RecorderRole: programme.Role(asID(f["recorder_role"])), Line: n.line}
	for _, key := range []string{"gate", "cleared_by", "role_of_clearer", "recorded_by", "recorder_role", "on", "until", "in_writing"} {
		if f[key] == "" {
			r.refuse("invalid", n.line, "The clearance of %s does not say %s. A clearance says who cleared, in which role, who recorded it, when, until when, and that it is in writing.", quote(c.Gate), key)
			return
		}
	}
	if !slices.Contains(programme.Roles, c.RecorderRole) {
		r.refuse("unknown_level", n.line, "There is no role called %s; a clearance is recorded by the lead or the medical_reviewer.", quote(f["recorder_role"]))
	}
	var err error
	if c.On, err = programme.ParseDate(f["on"]); err != nil {
		r.refuse("invalid", n.line, "%s", programme.SentenceOf(err))
	}
	if c.Until, err = programme.ParseDate(f["until"]); err != nil {
		r.refuse("invalid", n.line, "%s", programme.SentenceOf(err))
	}
	switch strings.ToLower(f["in_writing"]) {
	case "yes", "true":
		c.InWriting = true
	case "no", "false":
	default:
		r.refuse("unknown_level", n.line, "in_writing is yes or no, not %s.", quote(f["in_writing"]))
	}
	r.p.Clearances = append(r.p.Clearances, c)
}

// asID writes a role as ids are: "Orthopaedic surgeon" -> "orthopaedic_surgeon".
func asID(s string) string {
	return strings.Join(strings.FieldsFunc(strings.ToLower(s), func(c rune) bool { return c == ' ' || c == '-' || c == '_' }), "_")
}

func quote(s string) string { return strconv.Quote(clip(s, 40)) }

func itoa(n int) string { return strconv.Itoa(n) }

// clip shortens words that came from outside before they are quoted back.
func clip(s string, most int) string {
	r := []rune(s)
	if len(r) > most {
		return string(r[:most]) + "…"
	}
	return s
}
