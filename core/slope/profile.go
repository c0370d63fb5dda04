package slope

import (
	"math"
	"slices"

	"firnhand/core/entry"
	"firnhand/core/quantity"
	"firnhand/core/source"
)

// Station is one measured place of a run: metres on the map from its top, and
// height in m.
type Station struct {
	Distance float64 `json:"distance_m"`
	Height   float64 `json:"height_m"`
}

// Smoothing says how a measured profile is made even.
type Smoothing struct {
	Spacing float64 // m between the stations of the result
	Sigma   float64 // standard deviation of the Gaussian weights, m; 0 for none
	// Dense is the mean spacing in m up to which stations are taken for a
	// recording, whose spikes a running median of five takes out. Stations
	// further apart were chosen by somebody and are kept as they are.
	Dense float64
}

// Usual returns the smoothing of the trade: every 5 m, 12 m.
func Usual() Smoothing {
	return Smoothing{Spacing: value("profile_spacing"), Sigma: value("profile_sigma"), Dense: 2 * value("profile_spacing")}
}

func value(id string) float64 { return source.Value(id) }

// Profile is a run at equal spacings on the map.
type Profile struct {
	Spacing float64   // m
	Height  []float64 // m, at 0, Spacing, 2 Spacing ...
	Spikes  int       // stations that the median moved by more than half a metre
	Doubles int       // stations at the place of another, made one
}

// fewest stations make a run.
const fewest = 2

// Smooth makes an even profile of stations in order of distance: stations at
// one place become one, spikes are taken out, heights are put every Spacing
// metres and weighted with their neighbours. Beyond both ends the run is
// taken to go on as if turned half round about its end, which keeps straight
// slopes straight and ends where they are.
func Smooth(raw []Station, o Smoothing) (Profile, error) {
	if len(raw) == 0 {
		return Profile{}, entry.Refuse("empty", "There are no points, so there is no run.")
	}
	if len(raw) < fewest {
		return Profile{}, entry.Refuse("one_point", "There is one point only; a run needs at least two.")
	}
	for i, s := range raw {
		if !finite(s.Distance) || !finite(s.Height) {
			return Profile{}, entry.Refuse("not_a_number", "A distance or a height is not a number.")
		}
		if i > 0 && s.Distance < raw[i-1].Distance {
			return Profile{}, entry.Refuse("unsorted", "The distances go back from "+plain(raw[i-1].Distance)+" to "+plain(s.Distance)+" m; they must rise from the top of the run to its end.")
		}
	}
	const widest = 1000 // exact: a limit of entry, m
	if !(o.Spacing > 0 && o.Spacing <= widest) || !(o.Sigma >= 0 && o.Sigma <= widest) {
		return Profile{}, entry.Refuse("out_of_range", "The spacing must be above 0 and at most 1000 m, the smoothing between 0 and 1000 m.")
	}
	var p Profile
	even := p.merge(raw)
	length := even[len(even)-1].Distance - even[0].Distance
	if !(length > 0) {
		return Profile{}, entry.Refuse("no_length", "All points lie at one place, so there is no run.")
	}
	const most = 100000 // exact: stations of the result
	if length/o.Spacing > most {
		return Profile{}, entry.Refuse("too_long", "The run is "+plain(length)+" m long, which is too much for stations every "+plain(o.Spacing)+" m; check the unit of the distances.")
	}
	if length/float64(len(even)) <= o.Dense {
		even, p.Spikes = Despiked(even)
	}
	parts := max(math.Round(length/o.Spacing), 1)
	p.Spacing = length / parts
	p.Height = resample(even, p.Spacing, int(parts)+1)
	p.Height = gaussian(p.Height, p.Spacing, o.Sigma)
	return p, nil
}

// plain prints a length for a sentence.
func plain(v float64) string { return quantity.Decimals(1).Text(v) }

// merge makes one of stations at one place, at their mean height.
func (p *Profile) merge(raw []Station) []Station {
	var out []Station
	for i := 0; i < len(raw); {
		j, sum := i, 0.0
		for j < len(raw) && raw[j].Distance == raw[i].Distance {
			sum += raw[j].Height
			j++
		}
		out = append(out, Station{raw[i].Distance, sum / float64(j-i)})
		p.Doubles += j - i - 1
		i = j
	}
	return out
}

// Despiked returns stations each at the median height of five, of three and
// of itself at the ends; and how many of them moved by more than half a metre.
func Despiked(s []Station) (out []Station, spikes int) {
	out = slices.Clone(s)
	var window [5]float64
	for i := range s {
		r := min(2, i, len(s)-1-i)
		part := window[:2*r+1]
		for j := range part {
			part[j] = s[i-r+j].Height
		}
		slices.Sort(part)
		out[i].Height = part[r]
		if math.Abs(part[r]-s[i].Height) > 0.5 {
			spikes++
		}
	}
	return out, spikes
}

func resample(s []Station, spacing float64, count int) []float64 {
	out := make([]float64, count)
	j := 0
	for i := range out {
		x := s[0].Distance + spacing*float64(i)
		for j+2 < len(s) && s[j+1].Distance < x {
			j++
		}
		t := (x - s[j].Distance) / (s[j+1].Distance - s[j].Distance)
		out[i] = s[j].Height + min(max(t, 0), 1)*(s[j+1].Height-s[j].Height)
	}
	return out
}

// gaussian weights each height with its neighbours by exp(-x²/2s²).
func gaussian(h []float64, spacing, sigma float64) []float64 {
	const cut = 4 // exact: standard deviations
	reach := int(math.Ceil(cut * sigma / spacing))
	if reach == 0 {
		return h
	}
	weights := make([]float64, reach+1)
	total := 0.0
	for i := range weights {
		x := float64(i) * spacing / sigma
		weights[i] = math.Exp(-x * x / 2)
		total += 2 * weights[i]
	}
	total -= weights[0]
	n := len(h)
	var at func(i int) float64
	at = func(i int) float64 {
		switch {
		case i < 0:
			return 2*h[0] - at(-i)
		case i >= n:
			return 2*h[n-1] - at(2*(n-1)-i)
		}
		return h[i]
	}
	out := make([]float64, n)
	for i := range out {
		sum := weights[0] * h[i]
		for j := 1; j <= reach; j++ {
			sum += weights[j] * (at(i-j) + at(i+j))
		}
		out[i] = sum / total
	}
	return out
}

// Length returns the length of the run on the map, m.
func (p Profile) Length() float64 { return p.Spacing * float64(len(p.Height)-1) }

// Drop returns by how much the run falls from its first station to its last,
// m.
func (p Profile) Drop() float64 { return p.Height[0] - p.Height[len(p.Height)-1] }

// At returns the height in m at a distance on the map, straight between
// stations.
func (p Profile) At(x float64) float64 {
	i := min(max(int(x/p.Spacing), 0), len(p.Height)-2)
	t := x/p.Spacing - float64(i)
	return p.Height[i] + t*(p.Height[i+1]-p.Height[i])
}

// Gradient returns the fall of height for each metre on the map at each
// station, downhill positive: by the stations on both sides, at the ends by
// one.
func (p Profile) Gradient() []float64 {
	n := len(p.Height)
	out := make([]float64, n)
	for i := range out {
		a, b := max(i-1, 0), min(i+1, n-1)
		out[i] = (p.Height[a] - p.Height[b]) / (p.Spacing * float64(b-a))
	}
	return out
}

// Window is a stretch of a run.
type Window struct {
	From     float64 `json:"from_m"` // on the map
	Length   float64 `json:"length_m"`
	Gradient float64 `json:"gradient"` // fall of height for each metre on the map
}

// Steepest returns the stretch of a length in m on the map that falls most. A
// run shorter than that counts as a whole.
func (p Profile) Steepest(length float64) Window {
	length = min(length, p.Length())
	best := Window{Length: length, Gradient: math.Inf(-1)}
	try := func(from float64) {
		from = min(max(from, 0), p.Length()-length)
		if g := (p.At(from) - p.At(from+length)) / length; g > best.Gradient {
			best.From, best.Gradient = from, g
		}
	}
	// Between stations the fall changes evenly, so the most is where one end
	// of the stretch is at a station.
	for i := range p.Height {
		try(float64(i) * p.Spacing)
		try(float64(i)*p.Spacing - length)
	}
	return best
}

// Pieces returns the run as pieces straight down, one for each spacing.
func (p Profile) Pieces() []Piece {
	out := make([]Piece, len(p.Height)-1)
	for i := range out {
		fall := p.Height[i] - p.Height[i+1]
		out[i] = Piece{Length: math.Hypot(fall, p.Spacing), Slope: math.Atan2(fall, p.Spacing)}
	}
	return out
}

// PiecesOf returns the pieces straight down between stations as they are.
func PiecesOf(s []Station) []Piece {
	var out []Piece
	for i := 1; i < len(s); i++ {
		fall, on := s[i-1].Height-s[i].Height, s[i].Distance-s[i-1].Distance
		if length := math.Hypot(fall, on); length > 0 {
			out = append(out, Piece{Length: length, Slope: math.Atan2(fall, on)})
		}
	}
	return out
}

// Bends returns the largest load in weights that the hollows of a chain of
// pieces add at the speeds of a run over them, and the largest that its crests
// take away. Over that the run was computed without it.
func Bends(pieces []Piece, r Run, gravity float64) (hollow, crest float64) {
	for i := 1; i < len(pieces) && i < len(r.At); i++ {
		a, b := pieces[i-1], pieces[i]
		v := r.At[i].Speed
		load := v * v * (PathSlope(a.Slope, a.Path) - PathSlope(b.Slope, b.Path)) / ((a.Length + b.Length) / 2) / gravity
		hollow, crest = max(hollow, load), max(crest, -load)
	}
	return hollow, crest
}

// Part is a stretch of a recording that goes down or up.
type Part struct {
	From  float64 `json:"from_m"`
	To    float64 `json:"to_m"`
	Rises float64 `json:"rises_m"` // below zero where it falls
}

// Parts cuts stations into stretches that go up or down, leaving out what
// turns back by less than least metres of height: so a recording of several
// runs with their lift rides falls into runs and rides.
func Parts(s []Station, least float64) []Part {
	var out []Part
	if len(s) == 0 {
		return nil
	}
	low, high, start := 0, 0, 0 // lowest and highest since the last turn
	direction := 0.0
	add := func(to int) {
		if to > start {
			out = append(out, Part{s[start].Distance, s[to].Distance, s[to].Height - s[start].Height})
		}
		start = to
	}
	for i := range s {
		if s[i].Height < s[low].Height {
			low = i
		}
		if s[i].Height > s[high].Height {
			high = i
		}
		switch {
		case direction >= 0 && s[high].Height-s[i].Height >= least && i > high:
			add(high)
			direction, low = -1, i
		case direction <= 0 && s[i].Height-s[low].Height >= least && i > low:
			add(low)
			direction, high = 1, i
		}
	}
	add(len(s) - 1)
	return out
}

// Class is what one system of grading calls a slope.
type Class struct {
	System string        `json:"system"`
	Class  string        `json:"class"` // "" where the system has none for it
	Note   string        `json:"note,omitempty"`
	Ref    string        `json:"source"`
	Status source.Status `json:"status"`
}

// Classes returns what each published system calls a slope by its steepest 50
// m, and how it treats a shorter pitch by the steepest 20 m; both are
// gradients. They are judged as they are printed, in percent to one decimal.
func Classes(long, short float64) []Class {
	step := quantity.Decimals(1)
	l, s := step.Round(float64(quantity.Ratio(long).Percent())), step.Round(quantity.Ratio(short).Percent())
	table := source.Table("slope_grades")
	var out []Class
	for _, system := range table.Names("system") {
		out = append(out, classIn(table.Where("system", system).Rows(), l, s))
	}
	return out
}

func classIn(rows []source.Row, long, short float64) Class {
	c := Class{System: rows[0].Text("system"), Ref: rows[0].Ref(), Status: rows[0].Status()}
	for i, r := range rows {
		low, hasLow := r.Number("low_pct")
		high, hasHigh := r.Number("high_pct")
		if !hasLow && !hasHigh {
			c.Note = r.Text("note")
			return c
		}
		if i == 0 && long < low {
			c.Note = "gentler than its first class, " + r.Text("class") + " from " + quantity.Decimals(0).Text(low) + " %"
			return c
		}
		pitch, hasPitch := r.Number("short_pct")
		if hasHigh && long > high || hasPitch && short > pitch {
			continue
		}
		c.Class, c.Note = r.Text("class"), r.Text("note")
		if hasHigh && short > high {
			c.Note = joined(c.Note, "a short pitch is steeper than the class allows along its length")
		}
		return c
	}
	c.Note = "steeper than its last class"
	return c
}

func joined(a, b string) string {
	if a == "" {
		return b
	}
	return a + "; " + b
}
