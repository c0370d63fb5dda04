package progress

import (
	"math"
	"slices"
)

// posterior is what the attempts say about the effects: for each cell a
// Gaussian factor that stands for its outcomes, chosen so that the moments of
// the effect along the cell agree with those of the true outcomes (expectation
// propagation), and the cumulants beyond them.
type posterior struct {
	m     *model
	cells []cell
	root  []float64 // square root of each factor's precision
	pull  []float64 // precision times mean of each factor

	low  []float64 // Cholesky factor of 1 + S K S, rows packed; S = diag(root)
	inv  []float64 // its inverse, rows packed
	cols []float64 // the same, columns packed from the diagonal down
	work []float64
	hold []float64 // diagonal of (1 + S K S)^-1
	half []float64 // inv times (pull/root)

	skew3, kurtosis4 []float64 // cumulants along each cell
	pairV, pairM     []float64 // what pairs of cells add to a variance (packed) and each cell to a mean
	sweeps           int
}

// Bounds of the iteration.
const (
	sweepsMost = 60
	sweepsDamp = 12   // from here on half steps
	settled    = 1e-3 // exact: of a standard deviation; a stop of the iteration, no figure of the world
	rootLeast  = 1e-5 // a factor weaker than this says nothing that could be seen
	narrowest  = 1e-9 // keeps a cavity from vanishing by rounding
)

// row returns the start of row i of a packed lower triangle.
func row(i int) int { return i * (i + 1) / 2 }

// col returns the start of column j of a lower triangle packed by columns.
func (p *posterior) col(j int) int { return j*len(p.cells) - row(j) + j }

// dot of two slices of equal length, in four sums that do not wait for each
// other.
func dot(a, b []float64) float64 {
	b = b[:len(a)]
	var s0, s1, s2, s3 float64
	i := 0
	for ; i+4 <= len(a); i += 4 {
		s0 += a[i] * b[i]
		s1 += a[i+1] * b[i+1]
		s2 += a[i+2] * b[i+2]
		s3 += a[i+3] * b[i+3]
	}
	for ; i < len(a); i++ {
		s0 += a[i] * b[i]
	}
	return (s0 + s1) + (s2 + s3)
}

// prior fills the packed covariance of the cells.
func (p *posterior) prior() []float64 {
	n := len(p.cells)
	k := make([]float64, row(n))
	lessons := 0
	for _, c := range p.cells {
		lessons = max(lessons, c.lesson+1)
	}
	type faded struct{ student, skill float64 }
	of := make([]faded, lessons*lessons)
	for i, a := range p.cells {
		for j, b := range p.cells[:i+1] {
			f := &of[a.lesson*lessons+b.lesson]
			if f.student == 0 {
				days := math.Abs(a.day - b.day)
				*f = faded{math.Exp(-days / p.m.fadeStudent), math.Exp(-days / p.m.fadeSkill)}
			}
			k[row(i)+j] = p.m.covarianceFaded(a.effect, b.effect, f.student, f.skill)
		}
	}
	return k
}

// fit computes the posterior of cells in time order.
func (m *model) fit(cells []cell) *posterior {
	n := len(cells)
	p := &posterior{m: m, cells: cells, root: make([]float64, n), pull: make([]float64, n),
		low: make([]float64, row(n)), inv: make([]float64, row(n)), cols: make([]float64, row(n)), work: make([]float64, n), hold: make([]float64, n), half: make([]float64, n),
		skew3: make([]float64, n), kurtosis4: make([]float64, n)}
	if n == 0 {
		return p
	}
	k := p.prior()
	p.first(k)
	mean, v := make([]float64, n), make([]float64, n)
	p.marginals(k, mean, v)
	for p.sweeps = 1; p.sweeps <= sweepsMost && p.sweep(mean, v) >= settled; p.sweeps++ {
		p.factor(k)
		p.marginals(k, mean, v)
	}
	p.pairs()
	return p
}

// first takes the cells in time order, each against the factors before it.
func (p *posterior) first(k []float64) {
	n := len(p.cells)
	l := make([]float64, n)
	for i := range n {
		ki := k[row(i) : row(i)+i+1]
		v := ki[i]
		for j := range i {
			l[j] = (p.root[j]*ki[j] - dot(p.low[row(j):row(j)+j], l[:j])) / p.low[row(j)+j]
		}
		v -= dot(l[:i], l[:i])
		v = max(v, narrowest)
		mean := dot(l[:i], p.half[:i])
		t := p.m.tilt(mean, v, mean, p.cells[i].obs)
		p.set(i, 1/t.v-1/v, t.mean/t.v-mean/v)
		s := p.root[i]
		at := p.low[row(i) : row(i)+i+1]
		for j := range i {
			at[j] = s * l[j]
		}
		at[i] = math.Sqrt(1 + s*s*v)
		p.half[i] = (p.pull[i]/s - dot(at[:i], p.half[:i])) / at[i]
	}
	p.invert()
}

// set keeps a factor's precision positive, which the outcomes' log concave
// probabilities make it, up to rounding.
func (p *posterior) set(i int, precision, pull float64) {
	p.root[i] = max(math.Sqrt(max(precision, 0)), rootLeast)
	p.pull[i] = pull
}

// factor computes the Cholesky factor of 1 + S K S.
func (p *posterior) factor(k []float64) {
	for i := range p.cells {
		at := p.low[row(i) : row(i)+i+1]
		ki := k[row(i) : row(i)+i+1]
		for j := range i {
			lj := p.low[row(j) : row(j)+j+1]
			at[j] = (p.root[i]*p.root[j]*ki[j] - dot(at[:j], lj[:j])) / lj[j]
		}
		at[i] = math.Sqrt(1 + p.root[i]*p.root[i]*ki[i] - dot(at[:i], at[:i]))
	}
	p.invert()
}

// invert fills the inverse of the factor, the diagonal of (1 + S K S)^-1 and
// the whitened pulls.
func (p *posterior) invert() {
	n := len(p.cells)
	clear(p.hold)
	for i := range n {
		li := p.low[row(i) : row(i)+i+1]
		for j := range i {
			c := p.cols[p.col(j) : p.col(j)+i-j]
			x := -dot(li[j:i], c) / li[i]
			p.cols[p.col(j)+i-j] = x
			p.inv[row(i)+j] = x
		}
		x := 1 / li[i]
		p.cols[p.col(i)] = x
		p.inv[row(i)+i] = x
	}
	for j := range n {
		c := p.cols[p.col(j) : p.col(j)+n-j]
		p.hold[j] = dot(c, c)
	}
	white := p.work
	for i := range n {
		white[i] = p.pull[i] / p.root[i]
	}
	for i := range n {
		p.half[i] = dot(p.inv[row(i):row(i)+i+1], white[:i+1])
	}
}

// marginals computes mean and variance along each cell. S Σ S = 1 - (1 + SKS)^-1,
// and Σ pull = K (pull - S (1+SKS)^-1 S K pull) = S^-1 (white - (1+SKS)^-1 white).
func (p *posterior) marginals(k []float64, mean, v []float64) {
	n := len(p.cells)
	back := p.backward(p.half)
	for i := range n {
		s := p.root[i]
		mean[i] = (p.pull[i]/s - back[i]) / s
		v[i] = (1 - p.hold[i]) / (s * s)
	}
	for i := range n {
		if p.root[i] > 1e-3 {
			continue
		}
		// A weak factor leaves no digits in the differences above.
		w := make([]float64, n)
		for j := range n {
			kij := k[row(max(i, j))+min(i, j)]
			w[j] = p.root[j] * kij
		}
		x := p.forward(w)
		v[i] = k[row(i)+i] - dot(x, x)
		mean[i] = dot(x, p.half)
	}
}

// forward returns inv x, backward its transpose times x.
func (p *posterior) forward(x []float64) []float64 {
	out := make([]float64, len(x))
	for i := range x {
		out[i] = dot(p.inv[row(i):row(i)+i+1], x[:i+1])
	}
	return out
}

func (p *posterior) backward(x []float64) []float64 {
	out := make([]float64, len(x))
	for i, xi := range x {
		r := p.inv[row(i) : row(i)+i+1]
		for j := range r {
			out[j] += r[j] * xi
		}
	}
	return out
}

// cavity is the Gaussian along a cell without its own factor.
func (p *posterior) cavity(i int, mean, v float64) (cm, cv float64) {
	t := p.root[i] * p.root[i]
	cv = 1 / max(1/v-t, narrowest)
	cm = cv * (mean/v - p.pull[i])
	return cm, cv
}

// sweep matches the moments of every cell once more and returns the largest
// move, in standard deviations. Where that is small enough nothing is changed.
func (p *posterior) sweep(mean, v []float64) float64 {
	moved, step := 0.0, 1.0
	if p.sweeps > sweepsDamp {
		step = 0.5
	}
	root, pull := slices.Clone(p.root), slices.Clone(p.pull)
	for i, c := range p.cells {
		cm, cv := p.cavity(i, mean[i], v[i])
		t := p.m.tilt(cm, cv, mean[i], c.obs)
		p.skew3[i], p.kurtosis4[i] = t.skew3, t.kurtosis4
		moved = max(moved, math.Abs(t.mean-mean[i])/math.Sqrt(v[i]), math.Abs(t.v/v[i]-1))
		had := root[i] * root[i]
		p.set(i, had+step*(1/t.v-1/cv-had), pull[i]+step*(t.mean/t.v-cm/cv-pull[i]))
	}
	if moved < settled {
		copy(p.root, root)
		copy(p.pull, pull)
	}
	return moved
}

// pairs computes what lies beyond the Gaussian: what the cumulants along each
// cell add in pairs to mean and variance.
func (p *posterior) pairs() {
	n := len(p.cells)
	p.pairV, p.pairM = make([]float64, row(n)), make([]float64, n)
	for i := range n {
		ci := p.cols[p.col(i) : p.col(i)+n-i]
		for j := range i {
			b := dot(ci, p.cols[p.col(j)+i-j:p.col(j)+n-j]) // of (1 + S K S)^-1
			q := -b * p.root[i] * p.root[j] / (max(1-p.hold[i], narrowest) * max(1-p.hold[j], narrowest))
			q2 := q * q
			p.pairV[row(i)+j] = q2 * (p.skew3[i]*p.skew3[j]/2 + q*p.kurtosis4[i]*p.kurtosis4[j]/6) // exact
			p.pairM[i] += q2 * q * p.kurtosis4[i] * p.skew3[j] / 6                                 // exact
			p.pairM[j] += q2 * q * p.kurtosis4[j] * p.skew3[i] / 6                                 // exact
		}
	}
}

// along is a linear combination of effects after what was seen: its mean and
// variance, and its third and fourth cumulant to first order in those of the
// cells; mean and variance to second order (Opper, Paquet and Winther 2013).
type along struct{ mean, v, skew3, kurtosis4 float64 }

// of returns the posterior of a combination with prior variance v and the given
// prior covariance with each cell.
func (p *posterior) of(v float64, with func(effect) float64) along {
	n := len(p.cells)
	if n == 0 {
		return along{v: v}
	}
	w := make([]float64, n)
	for j, c := range p.cells {
		w[j] = p.root[j] * with(c.effect)
	}
	x := p.forward(w)
	a := along{mean: dot(x, p.half), v: max(v-dot(x, x), narrowest)}
	back := p.backward(x) // (1+SKS)^-1 S k = S times the posterior covariance with the cells
	for j := range n {
		s := p.root[j]
		r := back[j] * s / max(1-p.hold[j], narrowest) // regression on the cell
		r2 := r * r
		a.skew3 += r2 * r * p.skew3[j]
		a.kurtosis4 += r2 * r2 * p.kurtosis4[j]
		a.mean += r * p.pairM[j]
		w[j] = r
		a.v += 2 * r * dot(p.pairV[row(j):row(j)+j], w[:j])
	}
	a.v = max(a.v, narrowest)
	return a
}
