package winter

import (
	"math"
	"math/rand/v2"

	"larder/internal/figure"
)

// The dimensions of what is not known. The first four are the rates, and
// everything up to nShape acts through the weather; the last two act on a
// colony as a whole.
const (
	dCold = nRates + iota
	dDeep
	dMore // very cold days
	dStir
	dShift
	dAmount
	dBees
	dForage
	dFew // few winters known
	nShape
	dColony = nShape
	dStores = nShape + 1
	nDims   = nShape + 2
)

// standard gives n draws of nDims independent standard normals by Latin
// hypercube: each dimension is cut into n strips as likely as each other, one
// draw lies in each, and the strips are paired by chance. Means then settle far
// sooner than with free draws. Source: M. D. McKay, R. J. Beckman, W. J.
// Conover, Technometrics 21(2), 1979, 239–245 (from memory).
func standard(n int, seed uint64) [nDims][]float64 {
	src := rand.New(rand.NewPCG(seed, 0x6c61726465720005)) // a stream of its own beside other users of the seed
	var z [nDims][]float64
	for d := range z {
		z[d] = make([]float64, n)
		for j, strip := range src.Perm(n) {
			u := (float64(strip) + src.Float64()) / float64(n)
			u = math.Min(math.Max(u, 1e-9), 1-1e-9)
			z[d][j] = math.Sqrt2 * math.Erfinv(2*u-1)
		}
	}
	return z
}

// deal gives each of n draws one of m winters, each as often as the others, by
// chance.
func deal(n, m int, seed uint64) []int {
	src := rand.New(rand.NewPCG(seed, 0x6c61726465720006))
	out := make([]int, n)
	for j, place := range src.Perm(n) {
		out[j] = place % m
	}
	return out
}

// cholesky gives the lower triangle l with l·lᵀ = m. A direction without spread
// stays without.
func cholesky(m [nRates][nRates]float64) (l [nRates][nRates]float64) {
	for i := range m {
		for j := 0; j <= i; j++ {
			s := m[i][j]
			for k := 0; k < j; k++ {
				s -= l[i][k] * l[j][k]
			}
			switch {
			case i == j:
				l[i][i] = math.Sqrt(math.Max(s, 0))
			case l[j][j] > 0:
				l[i][j] = s / l[j][j]
			}
		}
	}
	return l
}

// point is one draw of everything that acts through the weather.
type point struct {
	rate                   [nRates]float64 // kg, not grams
	cold, deep, more, stir float64
	shift, amount, bees    float64
	days                   float64 // eaten, from the first day on; may end within a day
}

// at turns standard normals into a point.
func (e *Ensemble) at(z *[nDims]float64) point {
	p := &e.params
	few := math.Max(0.3, 1+e.fewSD*z[dFew])
	pt := point{
		cold: p.Cold.at(z[dCold]), deep: p.Deep.at(z[dDeep]), more: p.DeepSpread * z[dMore], stir: p.Stir.at(z[dStir]),
		shift: p.Shift.at(z[dShift]), amount: p.Amount.at(z[dAmount]), bees: p.Bees.at(z[dBees]),
		days: e.eatenDays(z[dForage]),
	}
	for r := range pt.rate {
		x := p.Rate[r].Mean
		for i := 0; i <= r; i++ {
			x += e.chol[r][i] * z[i]
		}
		pt.rate[r] = few * math.Min(math.Max(x, p.Rate[r].Low), p.Rate[r].High) / 1000
	}
	return pt
}

// eatenDays gives the days to first forage. It has not begun on the first day,
// or nobody would ask: of a normal spread only what lies after that day is
// drawn.
func (e *Ensemble) eatenDays(z float64) float64 {
	in, sd := e.forageIn, e.forage.SD
	if sd > 0 && in < 4*sd {
		gone := figure.Est(in, sd).Below(0)
		u := gone + (1-gone)*figure.Est(0, 1).Below(z)
		z = figure.Est(0, 1).Quantile(math.Min(math.Max(u, 1e-12), 1-1e-12))
	}
	return math.Min(math.Max(in+sd*z, 0), float64(e.days))
}

// colonyFactor turns a standard normal into what a colony eats against others.
func colonyFactor(mean, sd, z float64) float64 {
	return math.Min(math.Max(mean+sd*z, 0.2*mean), 3*mean)
}
