package season

// Count is [Inspect] without the digest: how many facts there are, of which
// kinds, from when to when. The facts must be in order of truth.
func Count(facts []Fact) Report {
	r := Report{Facts: len(facts)}
	n := map[string]int{}
	for i := range facts {
		n[facts[i].Kind()]++
	}
	for _, k := range kinds {
		if n[k.name] > 0 {
			r.Kinds = append(r.Kinds, KindCount{k.name, n[k.name]})
		}
	}
	if len(facts) > 0 {
		r.First, r.Last = facts[0].Seen, facts[len(facts)-1].Seen
	}
	return r
}
