package web

import (
	"encoding/json"
	"fmt"
	"io"
	"net"
	"net/http/httptest"
	"testing"
	"time"
)

// What a phone sends breaks off after every byte in turn, as a car that leaves the
// yard makes it do: nothing of it is written down, and sent again whole it is, once.
func TestSendingThatBreaksOffAnywhere(t *testing.T) {
	s := newSmallSite(t)
	srv := httptest.NewServer(s.srv)
	defer srv.Close()
	var entries []phoneEntry
	for i := range 24 {
		entries = append(entries, entry(i+1, madeNow, "given", gave))
	}
	body, err := json.Marshal(batch(entries...))
	if err != nil {
		t.Fatal(err)
	}
	if len(body) < 4<<10 {
		t.Fatalf("the sending has %d bytes only", len(body))
	}
	addr := srv.Listener.Addr().String()
	send := func(n int) []byte {
		c, err := net.Dial("tcp", addr)
		if err != nil {
			t.Fatal(err)
		}
		defer c.Close()
		_ = c.SetDeadline(time.Now().Add(30 * time.Second))
		if _, err := fmt.Fprintf(c, "POST /phone/facts HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Type: application/json\r\nContent-Length: %d\r\nConnection: close\r\n\r\n%s", len(body), body[:n]); err != nil {
			t.Fatal(err)
		}
		if n < len(body) { // no more comes; what home says to that, if anything, is read to its end, so that it is done
			if err := c.(*net.TCPConn).CloseWrite(); err != nil {
				t.Fatal(err)
			}
		}
		answer, _ := io.ReadAll(c)
		return answer
	}
	for n := range len(body) {
		send(n)
	}
	if got := len(kept(t, s)); got != 0 {
		t.Fatalf("%d facts of sendings that broke off", got)
	}
	for range 2 {
		send(len(body))
	}
	if got := len(kept(t, s)); got != len(entries) {
		t.Errorf("sent whole, twice: %d facts, want %d", got, len(entries))
	}
}
