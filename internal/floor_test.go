// Package internal_test holds the floor plan as a test: who may import whom.
package internal_test

import (
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// room says what one room may open a door to: other rooms, and modules from
// outside besides the standard library.
type room struct {
	rooms   []string
	outside []string
	pure    bool // no clock, logger, context, network or file system
}

// floor is the floor plan. A new room is a row here, and a decision.
var floor = map[string]room{
	"clock":    {},
	"quantity": {pure: true},
	"gas":      {pure: true, rooms: []string{"book", "quantity"}},
	"spirit":   {pure: true, rooms: []string{"quantity"}},
	"book":     {pure: true, rooms: []string{"quantity"}, outside: []string{"github.com/goccy/go-yaml"}},
	"request":  {pure: true, rooms: []string{"book", "quantity"}},
	"glass":    {pure: true, rooms: []string{"book", "quantity", "spirit"}},
	"keeping":  {pure: true, rooms: []string{"book", "quantity"}},
	"plan":     {pure: true, rooms: []string{"request", "keeping", "gas", "spirit", "book", "quantity"}},
	"kitchen": {
		pure: true, rooms: []string{"plan", "glass", "keeping", "request", "book", "quantity"},
		outside: []string{"github.com/fxamacker/cbor/v2"},
	},
	"voice": {
		pure: true, rooms: []string{"book", "kitchen", "plan", "glass", "request", "gas", "quantity"},
		outside: []string{"golang.org/x/text"},
	},
	"desk": {rooms: []string{"kitchen", "request", "book", "clock", "trace"}},
	"ledger": {
		rooms:   []string{"kitchen"},
		outside: []string{"github.com/redis/go-redis/v9", "go.etcd.io/bbolt", "github.com/fxamacker/cbor/v2"},
	},
	"trace":  {rooms: []string{"kitchen", "quantity"}},
	"bell":   {rooms: []string{"kitchen", "clock"}},
	"runner": {rooms: []string{"kitchen", "voice", "clock"}, outside: []string{"golang.org/x/time"}},
	"chat": {
		rooms:   []string{"book", "desk", "door", "runner", "voice", "kitchen"},
		outside: []string{"github.com/slack-go/slack", "github.com/gorilla/websocket"},
	},
	"hatch":    {rooms: []string{"desk", "door", "kitchen", "request", "runner", "voice"}},
	"door":     {rooms: []string{"runner"}},
	"practice": {rooms: []string{"clock"}, outside: []string{"github.com/gorilla/websocket", "golang.org/x/time"}},
	"metrics":  {rooms: []string{"kitchen"}, outside: []string{"github.com/prometheus/client_golang"}},
	"wall":     {rooms: []string{"kitchen", "voice"}},
	"app": {
		rooms: []string{
			"bell", "book", "chat", "clock", "desk", "gas", "glass", "hatch", "keeping", "kitchen", "ledger", "metrics", "plan",
			"practice", "quantity", "request", "runner", "spirit", "trace", "voice", "wall",
		},
		outside: []string{"github.com/caarlos0/env/v11"},
	},
}

// impure are the packages that a pure room does without, and why.
var impure = map[string]string{
	"context":   "nothing in it waits",
	"log/slog":  "it returns values, the edge logs",
	"log":       "it returns values, the edge logs",
	"net/http":  "it does no I/O",
	"os":        "it does no I/O",
	"math/rand": "the same input gives the same answer",
}

const module = "ventbell/internal/"

func TestRoomsImportOnlyWhatTheFloorPlanLists(t *testing.T) {
	t.Parallel()
	seen := map[string]bool{}
	err := filepath.WalkDir(".", func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		if !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return nil
		}
		name := strings.Split(filepath.ToSlash(path), "/")[0]
		r, listed := floor[name]
		if !listed {
			t.Errorf("%s: the room %q is not on the floor plan", path, name)
			return nil
		}
		seen[name] = true
		checkImports(t, path, name, r)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	for name := range floor {
		if !seen[name] {
			t.Errorf("the floor plan lists the room %q, which is not there", name)
		}
	}
}

func checkImports(t *testing.T, path, name string, r room) {
	t.Helper()
	file, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.ImportsOnly)
	if err != nil {
		t.Fatal(err)
	}
	for _, spec := range file.Imports {
		imported, err := strconv.Unquote(spec.Path.Value)
		if err != nil {
			t.Fatal(err)
		}
		switch {
		case strings.HasPrefix(imported, module):
			other := strings.Split(strings.TrimPrefix(imported, module), "/")[0]
			if other != name && !slices.Contains(r.rooms, other) {
				t.Errorf("%s: %s may not import %s", path, name, other)
			}
		case strings.Contains(strings.Split(imported, "/")[0], "."):
			ok := slices.ContainsFunc(r.outside, func(m string) bool {
				return imported == m || strings.HasPrefix(imported, m+"/")
			})
			if !ok {
				t.Errorf("%s: %s may not import %s", path, name, imported)
			}
		case imported == "testing":
			t.Errorf("%s: testing belongs in tests", path)
		case r.pure && impure[imported] != "":
			t.Errorf("%s: %s may not import %s: %s", path, name, imported, impure[imported])
		}
	}
}

func TestEveryRoomHasOnePackageComment(t *testing.T) {
	t.Parallel()
	for name := range floor {
		files, err := filepath.Glob(filepath.Join(name, "*.go"))
		if err != nil {
			t.Fatal(err)
		}
		comments := 0
		for _, path := range files {
			if strings.HasSuffix(path, "_test.go") {
				continue
			}
			file, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.PackageClauseOnly|parser.ParseComments)
			if err != nil {
				t.Fatal(err)
			}
			if file.Doc != nil {
				comments++
			}
		}
		if comments != 1 {
			t.Errorf("room %s has %d package comments, want one", name, comments)
		}
	}
}
