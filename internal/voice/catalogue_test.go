package voice

import (
	"go/ast"
	"go/parser"
	"go/token"
	"maps"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
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
	add("verb.", "request", "Verb")
	add("echo.", "request", "Verb")
	add("done.", "request", "Verb", "resting", "help", "why", "drink")
	add("problem.", "request", "ProblemCode")
	add("question.", "request", "QuestionCode")
	add("plan.", "plan", "ProblemCode")
	add("note.", "plan", "NoteCode")
	add("step.", "plan", "StepKind")
	add("glass.", "glass", "Method", "")
	add("glass.", "glass", "ProblemCode")
	for _, code := range constants(t, "kitchen", "Code") {
		asked := slices.Contains([]string{
			"take over", "one more", "emptied", "strained", "cleared", "nothing counted", "gas again", "scrap",
		}, code)
		if asked {
			names[phrase("ask."+code)] = true
		} else {
			names[phrase("refuse."+code)] = true
		}
	}
	for _, open := range []string{"loading", "settling", "straining", "clearing", "labelling"} {
		names[phrase("board."+open)] = true
	}
	return names
}

// spoken are the phrases named in this room's own code.
func spoken(t *testing.T) map[string]bool {
	files, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	literals := map[string]bool{}
	for _, path := range files {
		if strings.HasSuffix(path, "_test.go") || path == "english.go" {
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

func TestEveryCodeHasItsSentenceInEveryLanguage(t *testing.T) {
	t.Parallel()
	for language, catalogue := range catalogues {
		for name := range coded(t) {
			if catalogue[name] == "" {
				t.Errorf("%s has no sentence for %q", language, name)
			}
		}
	}
}

func TestEverySentenceIsSaidSomewhere(t *testing.T) {
	t.Parallel()
	codes, literals := coded(t), spoken(t)
	for _, name := range slices.Sorted(maps.Keys(english)) {
		if !codes[name] && !literals[string(name)] {
			t.Errorf("nobody says %q", name)
		}
	}
}

func TestEverySentenceClosesWhatItOpens(t *testing.T) {
	t.Parallel()
	for language, catalogue := range catalogues {
		for name, text := range catalogue {
			if strings.Count(text, "*")%2 != 0 || strings.Count(text, "`")%2 != 0 ||
				strings.Count(text, "{") != strings.Count(text, "}") {
				t.Errorf("%s %q does not close what it opens: %s", language, name, text)
			}
		}
	}
}

func TestVoiceStatesNoSafety(t *testing.T) {
	t.Parallel()
	for name, text := range english {
		for _, word := range []string{" is safe", "safely", "safe to ", "turn the head", "quarter turn"} {
			if strings.Contains(text, word) && !strings.Contains(text, "never "+word) {
				t.Errorf("%q says %q: no figure or advice may read as safe", name, word)
			}
		}
	}
}
