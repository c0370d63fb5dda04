package slope

import (
	"bytes"
	"encoding/json"
	"math"
	"math/rand/v2"
	"os/exec"
	"testing"
	"time"
)

// Debian's own Python, where python3-scipy puts SciPy.
const python = "/usr/bin/python3"

func needScipy(t *testing.T) {
	t.Helper()
	if out, err := exec.Command(python, "-c", "import scipy").CombinedOutput(); err != nil {
		t.Skipf("python3-scipy from Debian is not here (%v %s), so slides are not compared with solve_ivp", err, bytes.TrimSpace(out))
	}
}

type pieceJob struct {
	Length   float64 `json:"length_m"`
	Slope    float64 `json:"slope_rad"`
	Path     float64 `json:"path_rad"`
	Friction float64 `json:"friction"`
}

type profileJob struct {
	Gravity  float64    `json:"gravity_m_s2"`
	Drag     float64    `json:"drag_per_m"`
	HeadWind float64    `json:"head_wind_m_s"`
	Edges    bool       `json:"edges"`
	Start    float64    `json:"start_m_s"`
	Pieces   []pieceJob `json:"pieces"`
}

type turnJob struct {
	Slope    float64 `json:"slope_rad"`
	Gravity  float64 `json:"gravity_m_s2"`
	Drag     float64 `json:"drag_per_m"`
	Curve    float64 `json:"curve_per_m"`
	Friction float64 `json:"friction"`
	Path     float64 `json:"path_rad"`
	Length   float64 `json:"length_m"`
	Start    float64 `json:"start_m_s"`
}

type followed struct {
	Profiles [][][3]float64 `json:"profiles"`
	Turns    [][7]float64   `json:"turns"`
	Timed    [][][3]float64 `json:"timed"`
	TimedS   float64        `json:"timed_s"`
}

func follow(t *testing.T, job map[string]any) followed {
	t.Helper()
	in, err := json.Marshal(job)
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(python, "testdata/follow.py")
	cmd.Stdin = bytes.NewReader(in)
	var complaint bytes.Buffer
	cmd.Stderr = &complaint
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%v: %s", err, complaint.String())
	}
	var f followed
	if err := json.Unmarshal(out, &f); err != nil {
		t.Fatal(err)
	}
	return f
}

// randomProfile is an invented run: gradients from 8 % up to 45 % down,
// fall line and traverses, wind, from rest or moving.
func randomProfile(r *rand.Rand) (profileJob, Conditions, []Piece) {
	j := profileJob{Gravity: 9.78 + 0.05*r.Float64(), Drag: DragOf(0.9+0.3*r.Float64(), 0.2+0.7*r.Float64(), 20+80*r.Float64()), Edges: r.IntN(2) == 0}
	if r.IntN(2) == 0 {
		j.Start = 12 * r.Float64()
	}
	if r.IntN(4) == 0 {
		j.HeadWind = 10*r.Float64() - 4
	}
	var pieces []Piece
	for range 2 + r.IntN(5) {
		p := Piece{Length: 5 + 80*r.Float64(), Slope: math.Atan(0.53*r.Float64() - 0.08), Friction: 0.02 + 0.12*r.Float64()}
		if p.Slope > 0 && r.IntN(2) == 0 {
			p.Path = 2.4*r.Float64() - 1.2
		}
		pieces = append(pieces, p)
		j.Pieces = append(j.Pieces, pieceJob{p.Length, p.Slope, p.Path, p.Friction})
	}
	return j, Conditions{Gravity: j.Gravity, Drag: j.Drag, HeadWind: j.HeadWind, Edges: j.Edges}, pieces
}

// worst returns the largest relative difference of speeds at the ends of
// pieces, where both still move faster than a tenth of a metre a second.
func worst(t *testing.T, run Run, theirs [][3]float64) float64 {
	t.Helper()
	if len(run.At) != len(theirs)+1 {
		t.Fatalf("%+v here, %v there", run, theirs)
	}
	most := 0.0
	for i, their := range theirs {
		ours := run.At[i+1].Speed
		if ours == 0 || their[0] == 0 {
			if math.Abs(ours-their[0]) > 1e-3 {
				t.Fatalf("piece %d: %v here, %v there: %+v", i, run.At, theirs, their)
			}
			// Both stopped: then where. They compare as places, not speeds.
			if x := run.At[i+1].Distance - run.At[i].Distance; math.Abs(x-their[2]) > 1e-5*(1+x) {
				t.Fatalf("piece %d: stopped after %v m here, %v there", i, x, their[2])
			}
			continue
		}
		most = max(most, math.Abs(ours-their[0])/max(ours, 0.1))
	}
	return most
}

// SciPy 1.10 or so, solve_ivp with DOP853 in time, an event at the end of each
// piece and one for rest: 1,000 random runs.
func TestOracleScipyProfiles(t *testing.T) {
	needScipy(t)
	count := 1000
	if testing.Short() {
		count = 100
	}
	r := rand.New(rand.NewPCG(31, 32))
	var jobs []profileJob
	var runs []Run
	for range count {
		j, c, pieces := randomProfile(r)
		jobs = append(jobs, j)
		runs = append(runs, c.Glide(pieces, j.Start))
	}
	timed := jobs[:40]
	const looser = 1e-7
	f := follow(t, map[string]any{"profiles": jobs, "rtol": 1e-10, "atol": 1e-12, "timed": timed, "timed_rtol": looser})
	most, pieces, stops := 0.0, 0, 0
	for i, theirs := range f.Profiles {
		most = max(most, worst(t, runs[i], theirs))
		pieces += len(theirs)
		if runs[i].Stopped {
			stops++
		}
	}
	t.Logf("%d runs, %d pieces, %d stops: largest relative difference of speed %.2g", count, pieces, stops, most)
	if most > 1e-6 {
		t.Errorf("speeds differ by %v", most)
	}
	if stops < count/20 {
		t.Errorf("only %d runs stop", stops)
	}

	// How much faster, in one run on one machine: the processor time SciPy
	// takes for 40 runs at a tolerance that leaves it an error of the same
	// order as the one asked for, against the same runs here.
	loose := 0.0
	for i, theirs := range f.Timed {
		loose = max(loose, worst(t, runs[i], theirs))
	}
	type ready struct {
		c      Conditions
		pieces []Piece
		start  float64
	}
	r = rand.New(rand.NewPCG(31, 32))
	var set []ready
	for range timed {
		j, c, pieces := randomProfile(r)
		set = append(set, ready{c, pieces, j.Start})
	}
	// The least of many rounds: other work on the machine only adds.
	ours := math.Inf(1)
	for range 400 {
		began := time.Now()
		for _, s := range set {
			s.c.Glide(s.pieces, s.start)
		}
		ours = min(ours, time.Since(began).Seconds())
	}
	t.Logf("solve_ivp at tolerance %g (its error in speed %.2g): %.1f ms of processor time for %d runs; here %.3f ms; ratio %.0f",
		looser, loose, f.TimedS*1e3, len(timed), ours*1e3, f.TimedS/ours)
	if f.TimedS/ours < 500 {
		t.Errorf("only %.0f times faster", f.TimedS/ours)
	}
}

// J-turns and other arcs against the same integrator.
func TestOracleScipyTurns(t *testing.T) {
	needScipy(t)
	count := 200
	if testing.Short() {
		count = 40
	}
	r := rand.New(rand.NewPCG(41, 42))
	var jobs []turnJob
	var tracks []Track
	for len(jobs) < count {
		h := Hill{Slope: math.Atan(0.03 + 0.4*r.Float64()), Gravity: 9.80665, Drag: DragOf(1.1, 0.3+0.5*r.Float64(), 30+70*r.Float64())}
		phi := 2.4*r.Float64() - 1.2
		to := phi + 3*r.Float64()
		if r.IntN(2) == 0 {
			to = phi - 3*r.Float64()
		}
		leg := Leg{Radius: 3 + 15*r.Float64(), To: to, Friction: 0.02 + 0.1*r.Float64(), Skid: 0.1 * r.Float64()}
		v0 := 0.5 + 9*r.Float64()
		track := h.Slide([]Leg{leg}, v0, phi)
		tracks = append(tracks, track)
		jobs = append(jobs, turnJob{h.Slope, h.Gravity, h.Drag, math.Copysign(1/leg.Radius, to-phi), leg.Friction + leg.Skid, phi,
			math.Abs(to-phi) * leg.Radius, v0})
	}
	f := follow(t, map[string]any{"turns": jobs, "rtol": 1e-11, "atol": 1e-12})
	most, stops := 0.0, 0
	for i, theirs := range f.Turns {
		end := tracks[i].End()
		if tracks[i].Stopped {
			stops++
		}
		ours := [7]float64{end.Time, end.Along, end.Speed, 0, 0, tracks[i].Peak.Speed, 0}
		sin, cos := math.Sincos(0.0)
		ours[3], ours[4] = end.Down*cos-end.Left*sin, end.Left*cos+end.Down*sin
		if tracks[i].Stopped {
			ours[6] = 1
		}
		for k := range ours {
			most = max(most, relative(ours[k], theirs[k]))
			if relative(ours[k], theirs[k]) > 1e-6 {
				t.Errorf("turn %d %+v, number %d: %v here, %v there", i, jobs[i], k, ours[k], theirs[k])
			}
		}
	}
	t.Logf("%d turns, %d stops: largest difference of time, place, speed %.2g", count, stops, most)
	if stops < count/10 || stops > count*9/10 {
		t.Errorf("%d of %d turns stop", stops, count)
	}
}
