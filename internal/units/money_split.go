package units

import (
	"math"
	"math/big"
	"sort"
	"strings"

	"github.com/bojanz/currency"
	"larder/internal/fault"
)

// Split shares m out by weights (litres, kilometres, hours) with the largest
// remainder: each share is its exact part rounded down to the cent, and the
// cents left over go to those who lost most by that; of equals to the greater
// weight, then to the earlier. The shares add up to m exactly. Weights are 0 or
// more and not all 0. An amount that was not told gives shares not told.
//
// An amount finer than a cent is shared in its own last digit.
func (m Money) Split(weights []float64) ([]Money, error) {
	exact, sum := make([]*big.Rat, len(weights)), new(big.Rat)
	for i, w := range weights {
		if w < 0 || math.IsNaN(w) || math.IsInf(w, 0) {
			return nil, fault.Newf(fault.OutOfRange, "", "%v is no weight to share %s by", w, told(m))
		}
		exact[i] = new(big.Rat).SetFloat64(w)
		sum.Add(sum, exact[i])
	}
	if sum.Sign() == 0 {
		return nil, fault.Newf(fault.OutOfRange, "", "there is nothing to share %s by", told(m))
	}
	out := make([]Money, len(weights))
	if m.IsZero() {
		return out, nil
	}
	total, decimals := m.whole()
	for i, n := range largestRemainder(total, exact, sum) {
		s, err := NewMoney(pointAt(n, decimals), m.Currency())
		if err != nil {
			return nil, err
		}
		out[i] = s
	}
	return out, nil
}

// whole gives m as a whole number of its last digit, cents or finer.
func (m Money) whole() (n *big.Int, decimals int) {
	w, f, _ := strings.Cut(m.number(), ".")
	d, _ := currency.GetDigits(m.Currency())
	for len(f) < int(d) {
		f += "0"
	}
	n, _ = new(big.Int).SetString(w+f, 10)
	return n, len(f)
}

// pointAt writes n/10^decimals.
func pointAt(n *big.Int, decimals int) string {
	s, sign := n.String(), ""
	if s[0] == '-' {
		s, sign = s[1:], "-"
	}
	for len(s) <= decimals {
		s = "0" + s
	}
	if decimals == 0 {
		return sign + s
	}
	return sign + s[:len(s)-decimals] + "." + s[len(s)-decimals:]
}

// largestRemainder shares total out by exact weights. A negative total is
// shared as its opposite would be.
func largestRemainder(total *big.Int, weights []*big.Rat, sum *big.Rat) []*big.Int {
	sign := int64(total.Sign())
	amount := new(big.Rat).SetInt(new(big.Int).Abs(total))
	shares := make([]*big.Int, len(weights))
	lost := make([]*big.Rat, len(weights))
	order := make([]int, len(weights))
	left := new(big.Int).Abs(total)
	for i, w := range weights {
		part := new(big.Rat).Mul(amount, w)
		part.Quo(part, sum)
		shares[i] = new(big.Int).Quo(part.Num(), part.Denom())
		lost[i] = part.Sub(part, new(big.Rat).SetInt(shares[i]))
		left.Sub(left, shares[i])
		order[i] = i
	}
	sort.SliceStable(order, func(a, b int) bool {
		i, j := order[a], order[b]
		if c := lost[i].Cmp(lost[j]); c != 0 {
			return c > 0
		}
		return weights[i].Cmp(weights[j]) > 0
	})
	for _, i := range order[:left.Int64()] {
		shares[i].Add(shares[i], big.NewInt(1))
	}
	for _, s := range shares {
		s.Mul(s, big.NewInt(sign))
	}
	return shares
}
