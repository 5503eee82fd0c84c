package voice

import (
	"encoding/json"
	"os"
	"sync"
	"testing"
)

// aloud writes down all that is said, one JSON object a line, for a judge
// outside this room. nil writes nothing.
type aloud struct {
	mu    sync.Mutex
	lines *json.Encoder
}

// listening writes to the file that VENTBELL_SPOKEN names, if somebody wants it.
func listening(t testing.TB) *aloud {
	path := os.Getenv("VENTBELL_SPOKEN")
	if path == "" {
		return nil
	}
	f, err := os.OpenFile(path, os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o600)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := f.Close(); err != nil {
			t.Error(err)
		}
	})
	return &aloud{lines: json.NewEncoder(f)}
}

// tell writes down one message, form or page.
func (s *aloud) tell(t testing.TB, name string, what any) {
	if s == nil {
		return
	}
	said := map[string]any{"Name": name}
	switch what.(type) {
	case Message:
		said["Message"] = what
	case Form:
		said["Form"] = what
	case Page:
		said["Page"] = what
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if err := s.lines.Encode(said); err != nil {
		t.Error(err)
	}
}
