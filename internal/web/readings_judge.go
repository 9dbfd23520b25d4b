package web

import (
	"encoding/json"
	"net/http"
)

// judgedRow is what the rows sent come to: the answer to the script of the sheet.
type judgedRow struct {
	Row int    `json:"row"`
	Key string `json:"key"` // what was typed: an answer to older words is thrown away
	rowSays
	Bad     map[string]cellSays `json:"bad,omitempty"`
	NotRead bool                `json:"not_read,omitempty"`
	Dead    string              `json:"dead,omitempty"`
}

// judgeReadings tells what changed rows of a sheet make of their hives, as if
// they had been kept. Nothing is kept.
func (s *Server) judgeReadings(w http.ResponseWriter, r *http.Request) {
	if err := r.ParseForm(); err != nil {
		http.Error(w, "This form cannot be read.", http.StatusBadRequest)
		return
	}
	b := s.base(r, "readings", "title.readings")
	sheet, _ := sheetOf(&b, r.PostForm) // a day that cannot be read is said when saving
	rows, err := s.typedRows(&b, sheet, r.PostForm)
	if err != nil {
		http.Error(w, err.Error(), statusOf(err))
		return
	}
	out := struct {
		Rows []judgedRow `json:"rows"`
	}{Rows: []judgedRow{}}
	for i := range rows {
		t := &rows[i]
		j := judgedRow{Row: t.i, Key: t.key(), rowSays: t.makes, Bad: t.bad(&b), NotRead: t.draft.NotRead}
		if t.draft.Dead {
			j.Dead = b.T("readings.dead")
		}
		out.Rows = append(out.Rows, j)
	}
	w.Header().Set("Content-Type", "application/json; charset=utf-8")
	_ = json.NewEncoder(w).Encode(out) // the reader may have gone: nothing to be done
}
