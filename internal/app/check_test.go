package app

import (
	"encoding/json"
	"net"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"ventbell/internal/book"
	"ventbell/internal/ledger"
	"ventbell/internal/practice"
)

// office is a practice room with a crew, and the environment of `run` for it.
type office struct {
	room    *practice.Room
	channel string
	env     []string
}

// openOffice opens a room; scopes are the token's, nil = all that are wanted.
func openOffice(t *testing.T, scopes []string) *office {
	t.Helper()
	o := &office{room: practice.New(practice.Config{Scopes: scopes})}
	t.Cleanup(o.room.Close)
	manager := o.room.AddPerson("prep-lead")
	o.channel = o.room.AddChannel("prep")
	o.room.Join(o.channel, true)
	l, err := (&net.ListenConfig{}).Listen(t.Context(), "tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	o.room.Start(l)
	cfg := o.room.Config()
	o.env = []string{
		"VENTBELL_LEDGER=file:" + filepath.Join(t.TempDir(), "kitchen.db"),
		"VENTBELL_KITCHENS=main=" + o.channel, "VENTBELL_MANAGERS=" + manager + ":prep-lead",
		"VENTBELL_BOT_TOKEN=" + cfg.BotToken, "VENTBELL_APP_TOKEN=" + cfg.AppToken, "VENTBELL_SLACK_API=" + o.room.APIURL(),
	}
	return o
}

// wantedScopes are those of the table with these features, but for some.
func wantedScopes(on []feature, without ...string) []string {
	list := []string{}
	for _, s := range scopes() {
		if s.wanted(on) && !slices.Contains(without, s.name) {
			list = append(list, s.name)
		}
	}
	return list
}

// with gives the environment with variables set anew.
func (o *office) with(more ...string) []string { return append(slices.Clone(o.env), more...) }

// checked runs `check` and gives its findings beside those about the book.
func checked(t *testing.T, env []string, args ...string) (status int, found []finding) {
	t.Helper()
	status, out, complaint := command(t, env, append([]string{"check", "--json"}, args...)...)
	var got struct{ Findings []finding }
	if err := json.Unmarshal([]byte(out), &got); err != nil {
		t.Fatalf("%v: %s%s", err, out, complaint)
	}
	return status, slices.DeleteFunc(got.Findings, func(f finding) bool { return f.Area == "book" || f.Area == "place" })
}

// about gives the findings that hold all of these words.
func about(found []finding, words ...string) []finding {
	return slices.DeleteFunc(slices.Clone(found), func(f finding) bool {
		return slices.ContainsFunc(words, func(w string) bool { return !strings.Contains(f.String(), w) })
	})
}

func TestCheckFindsNothingToBlockWhereAllIsWell(t *testing.T) {
	t.Parallel()
	o := openOffice(t, wantedScopes([]feature{replies, extras}))
	status, found := checked(t, o.env)
	if status != 0 || slices.ContainsFunc(found, func(f finding) bool { return f.Weight != note }) {
		t.Errorf("status %d: %v", status, found)
	}
	if len(about(found, "the bot is", o.room.BotID())) != 1 {
		t.Errorf("it does not say who the bot is: %v", found)
	}
	if len(o.room.Messages("")) != 0 {
		t.Error("it posted something")
	}
}

func TestCheckNamesEachMissingScopeAndItsCure(t *testing.T) {
	t.Parallel()
	on := []feature{replies, private}
	for _, s := range scopes() {
		if !s.wanted(on) {
			continue
		}
		t.Run(s.name, func(t *testing.T) {
			t.Parallel()
			o := openOffice(t, wantedScopes(append(slices.Clone(on), extras), s.name))
			status, found := checked(t, o.with("VENTBELL_PRIVATE_CHANNELS=on"))
			named := about(found, "scope "+s.name, s.why, s.lost, reinstall)
			if len(named) != 1 || len(about(found, "missing")) != 1 {
				t.Fatalf("it says %v", found)
			}
			if blocked := named[0].Weight == blocks; blocked != s.must || (status == exitProblem) != s.must {
				t.Errorf("status %d, weight %s", status, named[0].Weight)
			}
		})
	}
}

func TestCheckNotesAScopeThatIsOfNoUse(t *testing.T) {
	t.Parallel()
	o := openOffice(t, append(wantedScopes([]feature{replies}), "groups:history", "files:read", "im:write"))
	status, found := checked(t, o.env)
	for _, name := range []string{"groups:history", "files:read"} {
		if f := about(found, "scope "+name, "no use"); len(f) != 1 || f[0].Weight != note || status != 0 {
			t.Errorf("%s: status %d: %v", name, status, found)
		}
	}
	if len(about(found, "scope im:write")) != 0 {
		t.Errorf("a scope that helps is called useless: %v", found)
	}
}

func TestCheckLooksIntoTheChannels(t *testing.T) {
	t.Parallel()
	for name, tc := range map[string]struct {
		scopes []string
		change func(o *office)
		env    []string
		want   []string // in one finding
		status int
	}{
		"archived": {
			wantedScopes([]feature{replies, extras}), func(o *office) { o.room.Archive(o.channel) }, nil,
			[]string{"blocks: channel: ", "(prep)", "archived", "VENTBELL_KITCHENS"}, exitProblem,
		},
		"not invited": {
			wantedScopes([]feature{replies, extras}), func(o *office) { o.room.Expel(o.channel) }, nil,
			[]string{"blocks: channel: ", "(prep)", "/invite @bell"}, exitProblem,
		},
		"no such channel": {
			wantedScopes([]feature{replies, extras}), func(*office) {}, []string{"VENTBELL_KITCHENS=main=C0404"},
			[]string{"blocks: channel: C0404", "no such channel"}, exitProblem,
		},
		"well, as far as can be known": {
			wantedScopes([]feature{replies}), func(*office) {}, nil, []string{"note: channel: ", "channels:read"}, 0,
		},
		"not invited, without channels:read": {
			wantedScopes([]feature{replies}), func(o *office) { o.room.Expel(o.channel) }, nil,
			[]string{"blocks: channel: ", "/invite @bell"}, exitProblem,
		},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			o := openOffice(t, tc.scopes)
			tc.change(o)
			status, found := checked(t, o.with(tc.env...))
			if len(about(found, tc.want...)) != 1 || status != tc.status {
				t.Errorf("status %d: %v, want one with %q", status, found, tc.want)
			}
		})
	}
}

func TestCheckLooksForTheManagers(t *testing.T) {
	t.Parallel()
	o := openOffice(t, wantedScopes([]feature{replies}))
	if status, found := checked(t, o.with("VENTBELL_MANAGERS=U404:head")); len(about(found, "look: manager: U404", "VENTBELL_MANAGERS")) != 1 || status != 0 {
		t.Errorf("status %d: %v", status, found)
	}
	if _, found := checked(t, o.with("VENTBELL_MANAGERS=")); len(about(found, "look: manager: nobody is called")) != 1 {
		t.Errorf("without one: %v", found)
	}
}

func TestCheckNamesAWrongTokenAndPrintsNone(t *testing.T) {
	t.Parallel()
	o := openOffice(t, nil)
	for name, tc := range map[string]struct{ env, want string }{
		"bot": {"VENTBELL_BOT_TOKEN=xoxb-sesame", "bot token: the platform refuses the token"},
		"app": {"VENTBELL_APP_TOKEN=xapp-sesame", "app-level token: the platform refuses the token"},
	} {
		status, out, complaint := command(t, o.with(tc.env), "check")
		if status != exitProblem || !strings.Contains(out, tc.want) {
			t.Errorf("%s: status %d: %s", name, status, out)
		}
		if strings.Contains(out+complaint, "sesame") {
			t.Errorf("%s: it prints the token: %s%s", name, out, complaint)
		}
	}
}

func TestCheckSaysWhatTheOptionsLack(t *testing.T) {
	t.Parallel()
	status, out, _ := command(t, []string{"VENTBELL_TRANSPORT=http", "VENTBELL_LEDGER=file:" + t.TempDir() + "/k"}, "check", "--slack")
	for _, name := range []string{"VENTBELL_BOT_TOKEN", "VENTBELL_SIGNING_SECRET", "VENTBELL_KITCHENS"} {
		if !strings.Contains(out, "blocks: options: "+name) {
			t.Errorf("it does not name %s", name)
		}
	}
	if status != exitProblem {
		t.Errorf("status %d", status)
	}
	if status, out, _ := command(t, nil, "check"); status != 0 || strings.Contains(out, "options") {
		t.Errorf("without an environment: status %d: %s", status, out)
	}
}

func TestCheckBlocksWhereTheBookLeavesThePlaceOpen(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "book.yaml")
	open := strings.Replace(string(book.SampleYAML()), "  licensed: yes\n", "", 1)
	if err := os.WriteFile(path, []byte(open), 0o600); err != nil {
		t.Fatal(err)
	}
	if status, out, _ := command(t, nil, "check", "--book", path); status != exitProblem || !strings.Contains(out, "blocks: place: ") {
		t.Errorf("status %d: %s", status, out)
	}
}

func TestCheckJudgesRedis(t *testing.T) {
	t.Parallel()
	well := ledger.Server{Version: "7.0.15", Keeps: true, Syncs: "always", Evicts: "noeviction"}
	for name, tc := range map[string]struct {
		change func(*ledger.Server)
		want   string // empty = nothing
	}{
		"well":              {func(*ledger.Server) {}, ""},
		"keeps nothing":     {func(s *ledger.Server) { s.Keeps = false }, "blocks: redis: it keeps nothing over a restart"},
		"cannot write":      {func(s *ledger.Server) { s.KeepsBad = true }, "blocks: redis: its last write"},
		"every second":      {func(s *ledger.Server) { s.Syncs = "everysec" }, "note: redis: appendfsync is everysec"},
		"never":             {func(s *ledger.Server) { s.Syncs = "no" }, "look: redis: appendfsync is no"},
		"not shown":         {func(s *ledger.Server) { s.Syncs = "" }, "note: redis: it does not show appendfsync"},
		"forgets kitchens":  {func(s *ledger.Server) { s.Evicts = "allkeys-lru" }, "blocks: redis: maxmemory-policy is allkeys-lru"},
		"forgets answers":   {func(s *ledger.Server) { s.Evicts = "volatile-ttl" }, "look: redis: maxmemory-policy is volatile-ttl"},
		"a replica":         {func(s *ledger.Server) { s.Replica = true }, "blocks: redis: it is a replica"},
		"too old":           {func(s *ledger.Server) { s.Version = "4.0.14" }, "blocks: redis: version 4.0.14 is too old"},
		"older than tested": {func(s *ledger.Server) { s.Version = "6.2.1" }, "note: redis: version 6.2.1"},
		"much newer":        {func(s *ledger.Server) { s.Version = "10.1.0" }, ""},
	} {
		s := well
		tc.change(&s)
		found := serverFindings(s)
		if tc.want == "" && len(found) != 0 || tc.want != "" && (len(found) != 1 || !strings.HasPrefix(found[0].String(), tc.want)) {
			t.Errorf("%s: %v, want %q", name, found, tc.want)
		}
	}
}

func TestCheckSaysThatRedisDoesNotAnswer(t *testing.T) {
	t.Parallel()
	o := openOffice(t, nil)
	status, found := checked(t, o.with("VENTBELL_LEDGER=redis://:sesame@127.0.0.1:1/0"))
	f := about(found, "blocks: redis: ")
	if status != exitProblem || len(f) != 1 || strings.Contains(f[0].String(), "sesame") {
		t.Errorf("status %d: %v", status, found)
	}
}

// eventually waits until a condition holds.
func eventually(t *testing.T, what string, holds func() bool) {
	t.Helper()
	end := time.After(time.Minute)
	for !holds() {
		select {
		case <-end:
			t.Fatalf("it never came to this: %s", what)
		case <-time.After(5 * time.Millisecond):
		}
	}
}
