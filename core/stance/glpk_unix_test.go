//go:build unix

package stance

import (
	"bufio"
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"firnhand/core/finding"
)

// model is many small linear programmes beside each other in one, for the
// general-purpose solver GLPK (glpsol 5.0 of Debian). It is written from the
// equations of statics anew: end forces in newtons, moments about the origin
// of the frame, one row for each limit. Nothing of the solver under test is
// used.
type model struct {
	rows, cols, entries int
	text                bytes.Buffer
	blocks              []block
}

// block is one small programme: its value is the sum over its columns of what
// each costs.
type block struct {
	cost map[int]float64
}

// weightN is the weight of the reference models, newtons.
const weightN = 713.0

func (m *model) row(kind string, bounds ...float64) int {
	m.rows++
	fmt.Fprintf(&m.text, "i %d %s", m.rows, kind)
	if kind == "s" { // one value fixes it
		bounds = bounds[:1]
	}
	for _, b := range bounds {
		fmt.Fprintf(&m.text, " %.17g", b+0)
	}
	m.text.WriteByte('\n')
	return m.rows
}

func (m *model) entry(row, col int, v float64) {
	if v != 0 {
		if row > 0 {
			m.entries++ // the format counts those of rows, not of the objective
		}
		fmt.Fprintf(&m.text, "a %d %d %.17g\n", row, col, v)
	}
}

// add puts one programme into the model. goal is "carried" for the most of the
// weight that can be carried, "arms" for the least total of the arms, or "n",
// "-n" for the least and most of support n-1.
func (m *model) add(p *Problem, goal string) {
	b := block{map[int]float64{}}
	kind := "s"
	if goal == "carried" {
		kind = "u"
	}
	sum := m.row(kind, weightN)
	// Moments about the middle of where the weight may act, which is somewhere
	// up to wx and wy to each side of it.
	cx, cy := (p.X[0]+p.X[1])/2, (p.Y[0]+p.Y[1])/2
	wx, wy := weightN*(p.X[1]-p.X[0])/2, weightN*(p.Y[1]-p.Y[0])/2
	kind = "d"
	if wx == 0 {
		kind = "s"
	}
	mx, my := m.row(kind, -wx, wx), m.row(kind, -wy, wy)
	arms, share := 0, [2]int{}
	if !math.IsInf(p.ArmsMost, 1) {
		arms = m.row("u", p.ArmsMost*weightN)
	}
	if p.HasShare {
		share = [2]int{m.row("l", 0), m.row("u", 0)}
	}
	for i, s := range p.Supports {
		limit := 0
		if !math.IsInf(s.Most, 1) {
			limit = m.row("u", s.Most*weightN)
		}
		ends := [][2]float64{{s.RearX, s.RearY}, {s.FrontX, s.FrontY}}
		if ends[0] == ends[1] {
			ends = ends[:1]
		}
		for _, e := range ends {
			m.cols++
			col := m.cols
			fmt.Fprintf(&m.text, "j %d l 0\n", col)
			m.entry(sum, col, 1)
			m.entry(mx, col, e[0]-cx)
			m.entry(my, col, e[1]-cy)
			if limit > 0 {
				m.entry(limit, col, 1)
			}
			if arms > 0 && s.Arm {
				m.entry(arms, col, 1)
			}
			for k, row := range share {
				switch {
				case row == 0:
				case s.Foot == finding.Left:
					m.entry(row, col, 1-p.Share[k])
				case s.Foot == finding.Right:
					m.entry(row, col, -p.Share[k])
				}
			}
			cost := 0.0
			switch {
			case goal == "carried":
				cost = -1
			case goal == "arms" && s.Arm, goal == strconv.Itoa(i+1):
				cost = 1
			case goal == strconv.Itoa(-i-1):
				cost = -1
			}
			if cost != 0 {
				b.cost[col] = cost
				m.entry(0, col, cost)
			}
		}
	}
	m.blocks = append(m.blocks, b)
}

// solve has glpsol solve the model and returns the value of each block,
// newtons, the processor time of glpsol, and that of one that only reads it.
func (m *model) solve(t testing.TB, dir string) (values []float64, took, reading time.Duration) {
	in, out := filepath.Join(dir, "in.glp"), filepath.Join(dir, "out.sol")
	var b bytes.Buffer
	fmt.Fprintf(&b, "p lp min %d %d %d\n", m.rows, m.cols, m.entries)
	b.Write(m.text.Bytes())
	b.WriteString("e o f\n")
	if err := os.WriteFile(in, b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	run := func(args ...string) ([]byte, time.Duration) {
		cmd := exec.Command("glpsol", append(args, "--glp", in)...)
		said, err := cmd.CombinedOutput()
		if err != nil {
			t.Fatalf("glpsol: %v\n%s", err, said)
		}
		return said, cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()
	}
	_, reading = run("--check")
	said, took := run("-w", out)
	f, err := os.Open(out)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	x := make([]float64, m.cols+1)
	lines := bufio.NewScanner(f)
	for lines.Scan() {
		field := strings.Fields(lines.Text())
		switch {
		case len(field) > 4 && field[0] == "s" && (field[4] != "f" || field[5] != "f"):
			t.Fatalf("glpsol found no optimum: %s\n%s", lines.Text(), said)
		case len(field) == 5 && field[0] == "j":
			j, _ := strconv.Atoi(field[1])
			if x[j], err = strconv.ParseFloat(field[3], 64); err != nil {
				t.Fatal(err)
			}
		}
	}
	values = make([]float64, len(m.blocks))
	for i, block := range m.blocks {
		for col, cost := range block.cost {
			values[i] += cost * x[col]
		}
	}
	return values, took, reading
}

// used returns the processor time this process has used.
func used() time.Duration {
	var u syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &u) != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// twenty is how many times faster than the general-purpose solver the engine
// has to be.
const twenty = 20

// The general-purpose solver GLPK, read through its files, gives the same
// verdict, the same share carried, the same least arm load and the same least
// and most on each contact for 10,000 random stances, to 1e-9 N of 713 N; and
// it takes more than twenty times as long. Its time is the processor's
// time for whole processes with some hundred programmes in each, less what they
// need to start and to read the same files, so neither the start nor the files
// count against it; the time here is this process's.
//
// The final check by rational arithmetic that glpsol offers is not used: it
// replaces each number by a nearby fraction first, and is then off by 1e-8.
func TestGLPKAgrees(t *testing.T) {
	if _, err := exec.LookPath("glpsol"); err != nil {
		t.Skip("glpsol is not installed (Debian: glpk-utils), so the general-purpose solver was not asked")
	}
	stances, each := 10_000, 25
	if testing.Short() {
		stances = 1000
	}
	const within = 1e-9 // newtons
	r := rand.New(rand.NewPCG(20, 26))
	dir := t.TempDir()
	var theirs, ours, reading time.Duration
	var s Solver
	held, programmes, worst := 0, 0, 0.0
	same := func(what string, p *Problem, got, want float64) {
		d := math.Abs(got*weightN - want)
		worst = max(worst, d)
		if !(d <= within) {
			t.Errorf("%s: %.12g N, the general-purpose solver gives %.12g N for %+v", what, got*weightN, want, *p)
		}
	}
	for done := 0; done < stances && !t.Failed(); done += each {
		ps := make([]Problem, each)
		var m model
		for i := range ps {
			ps[i] = randomProblem(r)
			m.add(&ps[i], "carried")
		}
		carried, took, read := m.solve(t, dir)
		theirs, reading, programmes = theirs+took, reading+read, programmes+each
		begun := used()
		got := make([]float64, each)
		can := make([]bool, each)
		for i := range ps {
			s.Load(&ps[i])
			got[i], can[i] = s.Carried(), s.Held()
		}
		ours += used() - begun
		var deep model
		var asked []int
		for i := range ps {
			same("weight carried", &ps[i], got[i], -carried[i])
			if holds := -carried[i] >= weightN-within; holds != can[i] {
				t.Errorf("held is %v, the general-purpose solver carries %.12g N of %g N for %+v", can[i], -carried[i], weightN, ps[i])
			} else if !holds {
				continue
			}
			held++
			asked = append(asked, i)
			deep.add(&ps[i], "arms")
			for k := range ps[i].Supports {
				deep.add(&ps[i], strconv.Itoa(k+1))
				deep.add(&ps[i], strconv.Itoa(-k-1))
			}
		}
		want, took, read := deep.solve(t, dir)
		theirs, reading, programmes = theirs+took, reading+read, programmes+len(want)
		var arms [1000]float64
		var least, most [1000][maxContacts]float64
		begun = used()
		for n, i := range asked {
			s.Load(&ps[i])
			arms[n] = s.LeastArms()
			for k := range ps[i].Supports {
				least[n][k], most[n][k] = s.Interval(k)
			}
		}
		ours += used() - begun
		for n, i := range asked {
			same("least of the arms", &ps[i], arms[n], want[0])
			want = want[1:]
			for k := range ps[i].Supports {
				same("least of a contact", &ps[i], least[n][k], want[0])
				same("most of a contact", &ps[i], most[n][k], -want[1])
				want = want[2:]
			}
		}
	}
	if held < stances/4 || held > stances*3/4 {
		t.Errorf("%d of %d stances are held; the two kinds should both be many", held, stances)
	}
	solving := theirs - reading
	times := solving.Seconds() / ours.Seconds()
	t.Logf("%d stances, %d of them held, %d linear programmes: largest difference %.1g N; glpsol %.2f s (%.2f s of it starting and reading), here %.3f s: %.0f times faster, %.0f with the reading",
		stances, held, programmes, worst, theirs.Seconds(), reading.Seconds(), ours.Seconds(), times, theirs.Seconds()/ours.Seconds())
	if times < twenty {
		t.Errorf("only %.1f times faster than the general-purpose solver", times)
	}
}
