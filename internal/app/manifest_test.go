package app

import (
	"encoding/json"
	"flag"
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

var update = flag.Bool("update", false, "write the golden files anew")

// command runs one of the program's commands and gives its exit status, what
// it printed and what it complained of.
func command(t *testing.T, environ []string, args ...string) (status int, out, complaint string) {
	t.Helper()
	var stdout, stderr strings.Builder
	status, err := Main(t.Context(), args, environ, &stdout, &stderr)
	if err != nil {
		stderr.WriteString(err.Error())
	}
	return status, stdout.String(), stderr.String()
}

func TestTheManifestIsAsWritten(t *testing.T) {
	t.Parallel()
	for golden, args := range map[string][]string{
		"manifest_socket.json": {"manifest"},
		"manifest_http.json": {
			"manifest", "--transport", "http", "--url", "https://bell.example.org/", "--name", "Bell",
			"--private-channels", "--user-groups", "--extras",
		},
		"manifest_least.json": {"manifest", "--replies=false"},
	} {
		status, got, complaint := command(t, nil, args...)
		if status != 0 || complaint != "" {
			t.Fatalf("%s: status %d: %s", golden, status, complaint)
		}
		path := filepath.Join("testdata", golden)
		if *update {
			if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(string(want), got); diff != "" {
			t.Errorf("%s (-want +got; -update writes it anew):\n%s", golden, diff)
		}
	}
}

// The lengths are those of github.com/slackapi/manifest-schema, schema 2.0.0.
func TestTheManifestKeepsSlacksLengths(t *testing.T) {
	t.Parallel()
	m := newManifest(strings.Repeat("x", longestName), "https://bell.example.org", []feature{replies, private, groups, extras})
	within := func(what, text string, most int) {
		if n := len([]rune(text)); n < 1 || n > most {
			t.Errorf("%s has %d characters, of 1 to %d: %q", what, n, most, text)
		}
	}
	within("name", m.Display.Name, 35)
	within("description", m.Display.Description, 140)
	within("display name", m.Features.Bot.Name, 80)
	if n := len(m.Features.Shortcuts); n < 1 || n > 10 {
		t.Errorf("%d shortcuts", n)
	}
	for _, s := range m.Features.Shortcuts {
		within("shortcut", s.Name, 24)
		within("callback_id", s.Callback, 255)
		within("shortcut's description", s.Description, 150)
		if s.Type != "global" && s.Type != "message" {
			t.Errorf("shortcut %s has type %q", s.Callback, s.Type)
		}
	}
	for _, c := range m.Features.Commands {
		within("command", c.Command, 32)
		within("command's description", c.Description, 2000)
		within("usage hint", c.Hint, 1000)
		if !strings.HasPrefix(c.Command, "/") || !c.Escape {
			t.Errorf("command %+v", c)
		}
	}
	for _, scope := range m.OAuth.Scopes.Bot {
		within("scope", scope, 50)
	}
	for _, event := range m.Settings.Events.Bot {
		within("event", event, 50)
	}
}

func TestEachTransportGetsItsAddresses(t *testing.T) {
	t.Parallel()
	read := func(args ...string) manifest {
		status, out, complaint := command(t, nil, append([]string{"manifest"}, args...)...)
		var m manifest
		if err := json.Unmarshal([]byte(out), &m); err != nil || status != 0 {
			t.Fatalf("%q: status %d, %v: %s", args, status, err, complaint)
		}
		return m
	}
	urls := func(m manifest) []string {
		return []string{m.Features.Commands[0].URL, m.Settings.Events.URL, m.Settings.Interactivity.URL}
	}
	if m := read(); !m.Settings.Socket || slices.ContainsFunc(urls(m), func(u string) bool { return u != "" }) {
		t.Errorf("Socket Mode %v, addresses %q", m.Settings.Socket, urls(m))
	}
	want := []string{
		"https://bell.example.org/x/slack/commands", "https://bell.example.org/x/slack/events",
		"https://bell.example.org/x/slack/actions",
	}
	if m := read("--transport=http", "--url=https://bell.example.org/x/"); m.Settings.Socket || !slices.Equal(urls(m), want) {
		t.Errorf("Socket Mode %v, addresses %q", m.Settings.Socket, urls(m))
	}
}

func TestTheManifestFollowsTheEnvironmentOfRun(t *testing.T) {
	t.Parallel()
	_, got, _ := command(t, []string{"VENTBELL_PRIVATE_CHANNELS=on", "VENTBELL_REPLIES=on"}, "manifest")
	_, want, _ := command(t, nil, "manifest", "--private-channels")
	if got != want || !strings.Contains(got, "groups:history") {
		t.Errorf("it gives\n%s", got)
	}
	status, _, complaint := command(t, []string{"VENTBELL_TRANSPORT=http"}, "manifest")
	if status != exitProblem || !strings.Contains(complaint, "--url") {
		t.Errorf("without an address: status %d: %s", status, complaint)
	}
}

func TestAManifestThatSlackWouldRefuseIsNotPrinted(t *testing.T) {
	t.Parallel()
	for name, args := range map[string][]string{
		"no address":           {"--transport", "http"},
		"not encrypted":        {"--transport", "http", "--url", "http://bell.example.org"},
		"a query":              {"--transport", "http", "--url", "https://bell.example.org/?x=1"},
		"a password":           {"--transport", "http", "--url", "https://a:b@bell.example.org"},
		"an address too many":  {"--url", "https://bell.example.org"},
		"no such transport":    {"--transport", "pigeon"},
		"webhooks":             {"--transport", "webhook"},
		"no name":              {"--name", ""},
		"a name too long":      {"--name", strings.Repeat("x", longestName+1)},
		"an option misspelled": {"--privat-channels"},
	} {
		if status, out, _ := command(t, nil, append([]string{"manifest"}, args...)...); status != exitProblem || out != "" {
			t.Errorf("%s: status %d, printed %q", name, status, out)
		}
	}
}

// opens are Slack's scopes for what the room chat uses, any one of which will
// do. Source: github.com/slack-ruby/slack-api-ref, docs.slack.dev/methods and
// events, read November 2026. Beside it app_mention's is written with a point
// in that copy, and with a colon at docs.slack.dev/reference/events/app_mention.
var opens = map[string][]string{
	"auth.test": nil, "views.open": nil, "views.publish": nil, "app_home_opened": nil,
	"apps.connections.open": nil, // connections:write, of the app-level token

	"chat.postMessage": {"chat:write"}, "chat.update": {"chat:write"}, "chat.postEphemeral": {"chat:write"},
	"chat.scheduleMessage": {"chat:write"}, "chat.deleteScheduledMessage": {"chat:write"},
	"conversations.history": {"channels:history", "groups:history", "im:history", "mpim:history"},
	"conversations.replies": {"channels:history", "groups:history", "im:history", "mpim:history"},
	"conversations.info":    {"channels:read", "groups:read", "im:read", "mpim:read"},
	"conversations.open":    {"channels:manage", "groups:write", "im:write", "mpim:write"},
	"users.info":            {"users:read"},
	"usergroups.users.list": {"usergroups:read"}, "subteam_members_changed": {"usergroups:read"}, "subteam_updated": {"usergroups:read"},

	"app_mention": {"app_mentions:read"}, "message.im": {"im:history"},
	"message.channels": {"channels:history"}, "message.groups": {"groups:history"},
}

func TestEveryScopeOpensWhatTheTableSays(t *testing.T) {
	t.Parallel()
	seen := map[string]bool{}
	methods, events := unscoped()
	for _, name := range slices.Concat(methods, events) {
		if scopes, known := opens[name]; !known || scopes != nil {
			t.Errorf("%s needs one of %q", name, scopes)
		}
	}
	for _, s := range scopes() {
		if seen[s.name] {
			t.Errorf("%s stands twice", s.name)
		}
		seen[s.name] = true
		if s.why == "" || s.lost == "" {
			t.Errorf("%s: what for %q, without it %q", s.name, s.why, s.lost)
		}
		for _, name := range slices.Concat(s.methods, s.events) {
			if !slices.Contains(opens[name], s.name) {
				t.Errorf("%s does not open %s", s.name, name)
			}
		}
	}
}

// method is what a name of Slack's methods looks like.
var method = regexp.MustCompile(`^(api|apps|auth|bots|chat|conversations|files|pins|reactions|team|usergroups|users|views)(\.[a-zA-Z]+)+$`)

// libraryMethods are the methods that the library's calls in the room chat end
// up at, for those calls that do not stand beside their method's name.
var libraryMethods = map[string]string{
	"AuthTestContext": "auth.test", "StartSocketModeContext": "apps.connections.open",
	"GetConversationInfoContext": "conversations.info", "GetConversationHistoryContext": "conversations.history",
	"GetConversationRepliesContext": "conversations.replies", "OpenConversationContext": "conversations.open",
	"GetUserInfoContext": "users.info", "PostMessageContext": "chat.postMessage",
	"PostMessageWithResponseContext": "chat.postMessage", "UpdateMessageContext": "chat.update",
	"PostEphemeralContext": "chat.postEphemeral", "ScheduleMessageContext": "chat.scheduleMessage",
	"DeleteScheduledMessageContext": "chat.deleteScheduledMessage", "OpenViewContext": "views.open",
	"PublishViewContext": "views.publish", "GetUserGroupMembersContext": "usergroups.users.list",
}

func TestEveryMethodThatIsCalledIsOpen(t *testing.T) {
	t.Parallel()
	open, _ := unscoped()
	for _, s := range scopes() {
		open = append(open, s.methods...)
	}
	called := map[string]bool{}
	eachFile(t, "../chat", func(file *ast.File) {
		ast.Inspect(file, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.BasicLit:
				if text, err := strconv.Unquote(n.Value); err == nil && method.MatchString(text) {
					called[text] = true
				}
			case *ast.CallExpr:
				f, ok := n.Fun.(*ast.SelectorExpr)
				if !ok {
					break
				}
				if of, ok := f.X.(*ast.SelectorExpr); ok && of.Sel.Name == "api" {
					name, known := libraryMethods[f.Sel.Name]
					if !known {
						t.Errorf("api.%s: which of Slack's methods is it?", f.Sel.Name)
					}
					called[name] = true
				}
			}
			return true
		})
	})
	for _, name := range sortedKeys(called) {
		if !slices.Contains(open, name) {
			t.Errorf("%s is called, and no scope of the table opens it", name)
		}
	}
	for _, name := range open {
		if !called[name] {
			t.Errorf("the table opens %s, which nothing calls", name)
		}
	}
}

func TestEveryShortcutIsAnswered(t *testing.T) {
	t.Parallel()
	known := map[string]bool{}
	eachFile(t, "../chat", func(file *ast.File) {
		ast.Inspect(file, func(n ast.Node) bool {
			if lit, ok := n.(*ast.BasicLit); ok {
				text, _ := strconv.Unquote(lit.Value)
				known[text] = true
			}
			return true
		})
	})
	for _, s := range shortcuts() {
		if !known[s.Callback] {
			t.Errorf("the room chat knows no shortcut %q", s.Callback)
		}
	}
}

// eachFile parses the files of a room, but for its tests.
func eachFile(t *testing.T, room string, look func(*ast.File)) {
	t.Helper()
	paths, err := filepath.Glob(filepath.Join(room, "*.go"))
	if err != nil || len(paths) == 0 {
		t.Fatalf("no files in %s: %v", room, err)
	}
	for _, path := range paths {
		if strings.HasSuffix(path, "_test.go") {
			continue
		}
		file, err := parser.ParseFile(token.NewFileSet(), path, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		look(file)
	}
}

func TestREADMEsTableOfScopesIsOurs(t *testing.T) {
	t.Parallel()
	readme, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range scopes() {
		row := "| `" + s.name + "` | " + s.when() + " | " + s.why + " |"
		if !strings.Contains(string(readme), row+"\n") {
			t.Errorf("README lacks the row\n%s", row)
		}
	}
	status, out, _ := command(t, nil, "manifest", "--scopes")
	for _, s := range scopes() {
		if status != 0 || !strings.Contains(out, s.name+" ") {
			t.Errorf("--scopes lacks %s:\n%s", s.name, out)
		}
	}
}
