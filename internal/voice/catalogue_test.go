package voice

import (
	"go/ast"
	"go/parser"
	"go/token"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/kitchen"
)

// constants gives the values of all string constants of a type in a room.
func constants(t *testing.T, room, typeName string) []string {
	t.Helper()
	files, err := filepath.Glob(filepath.Join("..", room, "*.go"))
	if err != nil {
		t.Fatal(err)
	}
	var values []string
	for _, path := range files {
		if strings.HasSuffix(path, "_test.go") {
			continue
		}
		file, err := parser.ParseFile(token.NewFileSet(), path, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(file, func(n ast.Node) bool {
			spec, ok := n.(*ast.ValueSpec)
			if !ok || len(spec.Values) != 1 {
				return true
			}
			name, ok := spec.Type.(*ast.Ident)
			literal, isLiteral := spec.Values[0].(*ast.BasicLit)
			if ok && isLiteral && name.Name == typeName {
				value, err := strconv.Unquote(literal.Value)
				if err != nil {
					t.Fatal(err)
				}
				values = append(values, value)
			}
			return true
		})
	}
	if len(values) == 0 {
		t.Fatalf("room %s has no constant of type %s", room, typeName)
	}
	return values
}

// coded are the phrases that are named by a code of a room below.
func coded(t *testing.T) map[phrase]bool {
	names := map[phrase]bool{}
	add := func(prefix, room, typeName string, except ...string) {
		for _, code := range constants(t, room, typeName) {
			if !slices.Contains(except, code) {
				names[phrase(prefix+code)] = true
			}
		}
	}
	add("phase.", "kitchen", "Phase")
	add("choose.", "kitchen", "ChoiceCode")
	add("asked.", "kitchen", "AskedEnd")
	add("verb.", "request", "Verb")
	add("echo.", "request", "Verb")
	add("done.", "request", "Verb", "resting", "help", "why", "drink", // and what is read, and not carried out by itself
		"pause", "ask", "again", "trouble", "emergency")
	add("topic.", "request", "Topic")
	add("kind.", "request", "Kind")
	add("problem.", "request", "ProblemCode")
	add("question.", "request", "QuestionCode")
	add("plan.", "plan", "ProblemCode")
	add("note.", "plan", "NoteCode")
	add("step.", "plan", "StepKind")
	add("verdict.", "request", "Verdict")
	add("glass.", "glass", "Method", "")
	add("glass.", "glass", "ProblemCode")
	for _, code := range constants(t, "kitchen", "Code") {
		asked := slices.Contains([]string{
			"take over", "one more", "emptied", "strained", "cleared", "nothing counted", "gas again", "scrap", "still on",
			"how many", "recall", "again", "not lately", "held", "freed", "fenced", "deep", "traces", "forget", "take shift", "cream dirty", "cream unfit", "cream over", "cream line", "cream many",
		}, code)
		if asked {
			names[phrase("ask."+code)] = true
		} else {
			names[phrase("refuse."+code)] = true
		}
	}
	add("state.", "kitchen", "VesselState")
	for _, form := range []kitchen.FormName{kitchen.FormRecipe, kitchen.FormVessel, kitchen.FormHouse} {
		for _, field := range kitchen.EntryFields(form) {
			names[phrase("entry."+field.Key)] = true
			for _, word := range field.Choices {
				if !slices.Contains([]string{"true", "false", "yes", "en", "es", "fr", "fridge", "shelf"}, word) {
					names[phrase("choice."+word)] = true
				}
			}
		}
	}
	for _, kind := range constants(t, "request", "Kind") {
		if slices.Contains(emergencies, kind) {
			names[phrase("harm."+kind)] = true
		} else {
			names[phrase("wrong."+kind)] = true
		}
	}
	for _, reason := range stuck {
		names[phrase("trouble."+reason)] = true
	}
	for _, open := range []string{"loading", "settling", "straining", "clearing", "labelling"} {
		names[phrase("board."+open)] = true
	}
	return names
}

// emergencies are the kinds of what is wrong that are about people or the house.
var emergencies = []string{"hurt", "burn", "eye", "fire", "fainted"}

// stuck are the reasons for which a lane takes no messages until somebody does
// something about it.
var stuck = []string{
	"channel archived", "channel gone", "not in channel", "person gone", "token refused", "scope missing", "not allowed", "restricted",
}

// spoken are the phrases named in this room's own code.
func spoken(t *testing.T) map[string]bool {
	files, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	literals := map[string]bool{}
	for _, path := range files {
		catalogue, _, _ := strings.Cut(strings.TrimSuffix(path, ".go"), "_")
		if strings.HasSuffix(path, "_test.go") || slices.Contains([]string{"english", "spanish", "french"}, catalogue) {
			continue
		}
		file, err := parser.ParseFile(token.NewFileSet(), path, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(file, func(n ast.Node) bool {
			if literal, ok := n.(*ast.BasicLit); ok && literal.Kind == token.STRING {
				if value, err := strconv.Unquote(literal.Value); err == nil {
					literals[value] = true
				}
			}
			return true
		})
	}
	return literals
}

func TestEveryReasonThatPeopleMendHasItsCure(t *testing.T) {
	t.Parallel()
	source, err := os.ReadFile(filepath.Join("..", "chat", "refuse.go"))
	if err != nil {
		t.Fatal(err)
	}
	_, list, found := strings.Cut(string(source), "func Stuck() []string {")
	list, _, _ = strings.Cut(list, "\n}")
	if !found {
		t.Fatal("the room chat no longer lists what waiting does not mend")
	}
	var reasons []string
	for _, name := range regexp.MustCompile(`\w+,`).FindAllString(list, -1) {
		named := regexp.MustCompile(strings.TrimSuffix(name, ",") + `\s*= "([^"]+)"`).FindStringSubmatch(string(source))
		if named == nil {
			t.Fatalf("%s is no reason", name)
		}
		reasons = append(reasons, named[1])
	}
	slices.Sort(reasons)
	if diff := cmp.Diff(slices.Sorted(slices.Values(stuck)), reasons); diff != "" {
		t.Errorf("reasons with a cure (-) and reasons (+):\n%s", diff)
	}
}

func TestEveryCodeHasItsSentenceInEveryLanguage(t *testing.T) {
	t.Parallel()
	for _, l := range tongues {
		for name := range coded(t) {
			if l.phrases[name] == "" {
				t.Errorf("%s has no sentence for %q", l.tag, name)
			}
		}
	}
}

func TestEverySentenceIsSaidSomewhere(t *testing.T) {
	t.Parallel()
	codes, literals := coded(t), spoken(t)
	for _, name := range slices.Sorted(maps.Keys(tongues[0].phrases)) {
		counted := strings.TrimSuffix(strings.TrimSuffix(string(name), ".one"), ".many")
		solid := strings.TrimSuffix(string(name), ".kept")
		if !codes[phrase(solid)] && !literals[string(name)] && !literals[counted] && !literals[solid] {
			t.Errorf("nobody says %q", name)
		}
	}
}

func TestEverySentenceClosesWhatItOpens(t *testing.T) {
	t.Parallel()
	for _, l := range tongues {
		for name, text := range l.phrases {
			if strings.Count(text, "*")%2 != 0 || strings.Count(text, "`")%2 != 0 ||
				strings.Count(text, "{") != strings.Count(text, "}") {
				t.Errorf("%s %q does not close what it opens: %s", l.tag, name, text)
			}
		}
	}
}

func TestVoiceStatesNoSafety(t *testing.T) {
	t.Parallel()
	never := map[string]string{"en": "never ", "es": "nunca ", "fr": "ne jamais "}
	for language, words := range map[string][]string{
		"en": {" is safe", "safely", "safe to ", "turn the head", "quarter turn"},
		"es": {"es seguro", "segur", "sin peligro", "sin riesgo", "gires el cabezal", "gira el cabezal", "cuarto de vuelta"},
		"fr": {"sûr", "sans danger", "sans risque", "sécurité", "tourner la tête", "quart de tour"},
	} {
		for name, text := range speaking(t, language).phrases {
			for _, word := range words {
				if strings.Contains(text, word) && !strings.Contains(text, never[language]+word) {
					t.Errorf("%s %q says %q: no figure or advice may read as safe", language, name, word)
				}
			}
		}
	}
}
