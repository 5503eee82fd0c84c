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
	for _, e := range edits {
		amended, err := e.apply(text)
		if err != nil {
			return nil, fmt.Errorf("amend %s: %w", strings.TrimSpace(string(e.Part)+" "+e.Name), err)
		}
		text = amended
	}
	return text, nil
}

// EntryText gives an entry as it stands in a book's text, without the dash of
// its list; empty if there is none.
func EntryText(text []byte, part Part, name string) string {
	p, err := findPlace(text, part, name)
	if err != nil || !p.there {
		return ""
	}
	var out []string
	for _, line := range linesOf(text)[p.from:p.to] {
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

func (e Edit) apply(text []byte) ([]byte, error) {
	p, err := findPlace(text, e.Part, e.Name)
	if err != nil {
		return nil, err
	}
	var entry []string
	switch {
	case e.YAML == "" && (!p.there || e.Part == PartHouse):
		return nil, errors.New("it is not there to be taken out")
	case e.YAML != "":
		if entry, err = e.lines(p.indent); err != nil {
			return nil, err
		}
	}
	return []byte(strings.Join(slices.Replace(linesOf(text), p.from, p.to, entry...), "\n")), nil
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

// findPlace finds where an entry stands, or where a new one would.
func findPlace(text []byte, part Part, name string) (place, error) {
	tree, err := parser.ParseBytes(text, 0)
	if err != nil {
		return place{}, fmt.Errorf("read book: %w", faultOf(err, text))
	}
	root, ok := tree.Docs[0].Body.(*ast.MappingNode)
	if !ok {
		return place{}, errors.New("read book: it is no mapping")
	}
	lines := linesOf(text)
	for i, pair := range root.Values {
		if pair.Key.String() != string(part) {
			continue
		}
		end := len(lines)
		if i+1 < len(root.Values) {
			end = before(lines, root.Values[i+1].Key.GetToken().Position.Line-1)
		}
		return placeIn(lines, pair, name, end)
	}
	return place{}, fmt.Errorf("the book has no part %q", part)
}

// placeIn finds an entry in the part that ends before the line at end.
func placeIn(lines []string, pair *ast.MappingValueNode, name string, end int) (place, error) {
	list, ok := pair.Value.(*ast.SequenceNode)
	if !ok { // the house: the lines after its key
		first := pair.Value.GetToken().Position
		start := pair.Key.GetToken().Position.Line
		return place{from: start, to: end, indent: max(first.Column-1, 2), there: true}, nil
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
