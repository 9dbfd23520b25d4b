package feeding

// prices maximises Σ need·price with Σ part·price ≤ cost for every load, prices
// not below 0, by the simplex on a dense table. Loads and demands are added as
// they are found, and what was reached so far is where it goes on from.
type prices struct {
	rows  [][]float64 // a row for each variable in the basis; the last column is its value
	top   []float64   // what each variable not in the basis promises; the last is minus the sum
	basis []int
	off   []int // the variable of a column
	loads int
	cols  int
}

// A price is variable 2k, the slack of a load 2t+1.
func newPrices() *prices { return &prices{top: []float64{0}} }

const hair = 1e-9

// load adds a load: part tells how far it serves each demand.
func (p *prices) load(part func(k int) float64, cost float64) {
	n := len(p.off)
	row := make([]float64, n+1)
	row[n] = cost
	for j, v := range p.off {
		if v&1 == 0 {
			row[j] += part(v / 2)
		}
	}
	for i, v := range p.basis {
		if v&1 == 1 {
			continue
		}
		if f := part(v / 2); f != 0 {
			for j, a := range p.rows[i] {
				row[j] -= f * a
			}
		}
	}
	p.rows = append(p.rows, row)
	p.basis = append(p.basis, 2*p.loads+1)
	p.loads++
}

// demand adds a demand: part tells how far each load serves it.
func (p *prices) demand(part func(t int) float64, need float64) {
	n := len(p.off)
	column := make([]float64, len(p.rows))
	promise := need
	for i, v := range p.basis {
		if v&1 == 1 {
			column[i] += part(v / 2)
		}
	}
	for j, v := range p.off {
		if v&1 == 0 {
			continue
		}
		f := part(v / 2)
		if f == 0 {
			continue
		}
		for i := range p.rows {
			column[i] += f * p.rows[i][j]
		}
		promise += f * p.top[j]
	}
	for i, r := range p.rows {
		p.rows[i] = append(r, r[n])
		p.rows[i][n] = column[i]
	}
	p.top = append(p.top, p.top[n])
	p.top[n] = promise
	p.off = append(p.off, 2*p.cols)
	p.cols++
}

// solve brings loads added since within their cost, then raises prices as far as
// they go.
func (p *prices) solve() {
	n := len(p.off)
	for range 40 * (n + 5) {
		out := -1
		for i, r := range p.rows {
			if r[n] < -hair && (out < 0 || r[n] < p.rows[out][n]) {
				out = i
			}
		}
		if out < 0 {
			break
		}
		in, least := -1, 0.0
		for j := range n {
			if a := p.rows[out][j]; a < -hair {
				if q := p.top[j] / a; in < 0 || q < least-hair || q < least+hair && p.off[j] < p.off[in] {
					in, least = j, q
				}
			}
		}
		if in < 0 {
			break
		}
		p.pivot(out, in)
	}
	for step := range 40 * (n + 5) {
		in := -1
		for j := range n {
			if p.top[j] > hair && (in < 0 || step < 20*n && p.top[j] > p.top[in] || step >= 20*n && p.off[j] < p.off[in]) {
				in = j
			}
		}
		if in < 0 {
			break
		}
		out, least := -1, 0.0
		for i, r := range p.rows {
			if a := r[in]; a > hair {
				q := r[n] / a
				if out < 0 || q < least-hair || q < least+hair && p.basis[i] < p.basis[out] {
					out, least = i, q
				}
			}
		}
		if out < 0 {
			break
		}
		p.pivot(out, in)
	}
}

// pivot swaps the variable of row out with that of column in.
func (p *prices) pivot(out, in int) {
	row := p.rows[out]
	d := 1 / row[in]
	for k := range row {
		row[k] *= d
	}
	row[in] = d
	for t, r := range p.rows {
		if t == out {
			continue
		}
		f := r[in]
		if f == 0 {
			continue
		}
		for k := range r {
			r[k] -= f * row[k]
		}
		r[in] = -f * d
	}
	f := p.top[in]
	for k := range p.top {
		p.top[k] -= f * row[k]
	}
	p.top[in] = -f * d
	p.basis[out], p.off[in] = p.off[in], p.basis[out]
}

// price gives the price of each demand.
func (p *prices) price() []float64 {
	out := make([]float64, p.cols)
	n := len(p.off)
	for i, v := range p.basis {
		if v&1 == 0 {
			out[v/2] = max(0, p.rows[i][n])
		}
	}
	return out
}

// often tells how often each load goes at these prices.
func (p *prices) often() []float64 {
	out := make([]float64, p.loads)
	for j, v := range p.off {
		if v&1 == 1 {
			out[v/2] = max(0, -p.top[j])
		}
	}
	return out
}
