package web

import "testing"

// The plan stands as strips and maps with what they show in words, and what it
// takes beside the least it could.
func TestPlanByDays(t *testing.T) {
	for _, s := range []*site{newSmallSite(t), newExampleSite(t)} {
		a := s.get("/plan")
		a.has("Why not fewer?", "Not fewer than", "of work", "As a table", "fill the tank for load 1", "drive to", "Map", "Loads that call")
	}
	s := newExampleSite(t)
	s.done("/units", "language", "es", "units", "metric", "back", "/")
	s.get("/plan").has("¿Por qué no menos?", "llenar el tanque", "Mapa", "km")
}
