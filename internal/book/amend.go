package book

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/parser"
)

// Part is a part of the book's file that can be amended.
type Part string

// The parts that can be amended. The house is one entry, the others are lists.
const (
	PartHouse      Part = "house"
	PartVessels    Part = "vessels"
	PartLiquids    Part = "liquids"
	PartBotanicals Part = "botanicals"
	PartRecipes    Part = "recipes"
)

// Edit is one change of a book: one entry written anew, added or taken out.
type Edit struct {
	Part Part   `cbor:"p" json:"part"`
	Name string `cbor:"n,omitempty" json:"name,omitempty"` // the entry's name, or its tag; the house has none
	// YAML is the entry as it is to stand, without the dash of its list; empty
	// takes the entry out.
	YAML string `cbor:"y,omitempty" json:"yaml,omitempty"`
}

// Amend gives the text of a book with edits carried out in their order.
// Everything else stays as it was written, comments and all. What comes of it
// is read as a whole by Parse, which says what does not fit together.
func Amend(text []byte, edits ...Edit) ([]byte, error) {
	for len(edits) > 0 {
		n := apart(edits)
		amended, err := amendApart(text, edits[:n])
		if err != nil {
			return nil, err
		}
		text, edits = amended, edits[n:]
	}
	return text, nil
}

// apart counts the edits before the first that is of an entry once more.
func apart(edits []Edit) int {
	seen := map[string]bool{}
	for i, e := range edits {
		key := string(e.Part) + "/" + Fold(e.Name)
		if seen[key] {
			return i
		}
		seen[key] = true
	}
	return len(edits)
}

// amendApart carries out edits of entries that are all different: each place
// is found in the text as it is, and they are written from the last to the
// first, so that one does not move another.
func amendApart(text []byte, edits []Edit) ([]byte, error) {
	f, err := fileOf(text)
	if err != nil {
		return nil, err
	}
	writes := make([]written, 0, len(edits))
	for _, e := range edits {
		w, err := e.write(f)
		if err != nil {
			return nil, fmt.Errorf("amend %s: %w", strings.TrimSpace(string(e.Part)+" "+e.Name), err)
		}
		writes = append(writes, w)
	}
	slices.SortStableFunc(writes, func(a, b written) int { return cmp.Compare(a.from, b.from) })
	lines := f.lines
	for _, w := range slices.Backward(writes) {
		lines = slices.Replace(lines, w.from, w.to, w.entry...)
	}
	return []byte(strings.Join(lines, "\n")), nil
}

// EntryText gives an entry as it stands in a book's text, without the dash of
// its list; empty if there is none.
func EntryText(text []byte, part Part, name string) string {
	f, err := fileOf(text)
	if err != nil {
		return ""
	}
	p, err := f.find(part, name)
	if err != nil || !p.there {
		return ""
	}
	var out []string
	for _, line := range f.lines[p.from:p.to] {
		if p.indent >= 2 && len(out) == 0 && part != PartHouse {
			line = strings.Replace(line, "-", " ", 1)
		}
		out = append(out, strings.TrimPrefix(line, strings.Repeat(" ", p.indent)))
	}
	return strings.TrimRight(strings.Join(out, "\n"), "\n ") + "\n"
}

// place is where an entry stands in a file: from one line up to another, both
// counted from 0. An entry that is not there yet goes before the line at from.
type place struct {
	from, to int
	indent   int // of its keys
	there    bool
}

// written is an edit as the lines that take the place of others.
type written struct {
	place
	entry []string
}

func (e Edit) write(f file) (written, error) {
	p, err := f.find(e.Part, e.Name)
	switch {
	case err != nil:
		return written{}, err
	case e.YAML == "" && (!p.there || e.Part == PartHouse):
		return written{}, errors.New("it is not there to be taken out")
	case e.YAML == "":
		return written{place: p}, nil
	}
	entry, err := e.lines(p.indent)
	return written{p, entry}, err
}

// lines gives the entry as it goes into the file. It must be one mapping, so
// that it cannot reach beyond its own place.
func (e Edit) lines(indent int) ([]string, error) {
	var m yaml.MapSlice
	if err := yaml.Unmarshal([]byte(e.YAML), &m); err != nil {
		return nil, fmt.Errorf("read entry: %w", faultOf(err, []byte(e.YAML)))
	}
	canonical, err := yaml.MarshalWithOptions(m, yaml.Flow(false), yaml.IndentSequence(true))
	if err != nil {
		return nil, fmt.Errorf("write entry: %w", err)
	}
	lines := linesOf(bytes.TrimRight(canonical, "\n"))
	for i, line := range lines {
		dash := e.Part != PartHouse && i == 0
		lines[i] = strings.Repeat(" ", indent) + line
		if dash {
			lines[i] = strings.Repeat(" ", indent-2) + "- " + line
		}
	}
	return lines, nil
}

// file is a book's text, taken apart.
type file struct {
	lines []string
	root  *ast.MappingNode
}

func fileOf(text []byte) (file, error) {
	tree, err := parser.ParseBytes(text, 0)
	if err != nil {
		return file{}, fmt.Errorf("read book: %w", faultOf(err, text))
	}
	if len(tree.Docs) == 0 {
		return file{}, errors.New("read book: it is empty")
	}
	root, ok := tree.Docs[0].Body.(*ast.MappingNode)
	if !ok {
		return file{}, errors.New("read book: it is no mapping")
	}
	return file{lines: linesOf(text), root: root}, nil
}

// find finds where an entry stands, or where a new one would.
func (f file) find(part Part, name string) (place, error) {
	for i, pair := range f.root.Values {
		if pair.Key.String() != string(part) {
			continue
		}
		end := len(f.lines)
		if i+1 < len(f.root.Values) {
			end = before(f.lines, f.root.Values[i+1].Key.GetToken().Position.Line-1)
		}
		return placeIn(f.lines, pair, name, end)
	}
	return place{}, fmt.Errorf("the book has no part %q", part)
}

// placeIn finds an entry in the part that ends before the line at end.
func placeIn(lines []string, pair *ast.MappingValueNode, name string, end int) (place, error) {
	list, ok := pair.Value.(*ast.SequenceNode)
	if !ok { // the house: the lines after its key
		start, first := pair.Key.GetToken().Position.Line, lines[pair.Value.GetToken().Position.Line-1]
		indent := len(first) - len(strings.TrimLeft(first, " "))
		return place{from: start, to: end, indent: max(indent, 2), there: true}, nil
	}
	p := place{from: end, to: end, indent: 4}
	for i, item := range list.Values {
		from := list.Values[i].GetToken().Position.Line - 1
		at := entryName(item)
		if Fold(at) != Fold(name) {
			continue
		}
		to := end
		if i+1 < len(list.Values) {
			to = before(lines, list.Values[i+1].GetToken().Position.Line-1)
		}
		indent := strings.IndexByte(lines[from], '-') + 2
		return place{from: from, to: to, indent: indent, there: true}, nil
	}
	return p, nil
}

// entryName gives the name or the tag of an entry.
func entryName(item ast.Node) string {
	var keys struct {
		Name string `yaml:"name"`
		Tag  string `yaml:"tag"`
	}
	if err := yaml.NodeToValue(item, &keys); err != nil {
		return ""
	}
	return cmp.Or(keys.Name, keys.Tag)
}

// before gives the line up to which what stands before the line at next
// reaches: comments and empty lines above an entry belong to it.
func before(lines []string, next int) int {
	for next > 0 {
		line := strings.TrimSpace(lines[next-1])
		if line != "" && !strings.HasPrefix(line, "#") {
			break
		}
		next--
	}
	return next
}

func linesOf(text []byte) []string { return strings.Split(string(text), "\n") }
