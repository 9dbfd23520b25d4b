package web

import (
	"context"

	"larder/internal/season"
	"larder/internal/units"
)

// write keeps facts of these bodies, seen now, and strikes these facts, all as
// one act. says is the key of what the status line tells.
func (s *Server) write(ctx context.Context, says string, bodies []any, strikes ...season.ID) (string, error) {
	facts := make([]season.Fact, 0, len(bodies)+len(strikes))
	for _, id := range strikes {
		facts = append(facts, s.house.fact(units.Moment{}, "", season.Strike{Fact: id, Why: "put right"}))
	}
	for _, b := range bodies {
		facts = append(facts, s.house.fact(units.Moment{}, "", b))
	}
	return s.house.append(ctx, says, facts...)
}

// changed gives the settings that differ from what is in force. An amount in store
// that is the same again is told again: it was used and made up in between.
func (s *Server) changed(values map[string]string, order []string) []any {
	var out []any
	s.house.view(func(st *season.State, _ units.Moment) {
		for _, k := range order {
			v, told := values[k]
			if told && (v != st.Value(k) || k == onHand && v != "") {
				out = append(out, season.Setting{Key: k, Value: v})
			}
		}
	})
	return out
}
