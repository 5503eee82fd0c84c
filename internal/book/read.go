package book

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"slices"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/parser"
	"github.com/goccy/go-yaml/token"
)

// mostBytes is the largest book file that is read.
const mostBytes = 1 << 20

// mostComplaints is how many misplaced keys of one entry are told at once.
const mostComplaints = 20

// Parse reads a book from its YAML. It refuses unknown and doubled keys, a
// figure without its unit or its source, and entries that contradict
// themselves or each other. Its error tells of everything found wrong, each
// with its line.
func Parse(src []byte) (*Book, error) {
	if len(src) > mostBytes {
		return nil, fmt.Errorf("read book: %d bytes, more than %d", len(src), mostBytes)
	}
	tree, err := parser.ParseBytes(src, 0, parser.AllowDuplicateMapKey()) // doubled keys are found below, all of them
	if err != nil {
		return nil, fmt.Errorf("read book: %w", faultOf(err, src))
	}
	if len(tree.Docs) != 1 || tree.Docs[0].Body == nil {
		return nil, errors.New("read book: it must hold one YAML document")
	}
	var r reader
	b := r.book(tree.Docs[0].Body)
	if len(r.faults) == 0 {
		r.agree(b)
	}
	if len(r.faults) > 0 {
		return nil, fmt.Errorf("read book:\n%w", r.err(src))
	}
	b.Text = bytes.Clone(src)
	return &b.Book, nil
}

// reader turns the file into a book and gathers what is wrong on the way.
type reader struct{ faults []error }

// placed is a book in the making with the places of its entries, for the
// complaints that need more than one entry to see.
type placed struct {
	Book
	recipes    []*token.Token
	vessels    []*token.Token
	classes    []*token.Token
	liquids    []*token.Token
	botanicals []*token.Token
}

func (r *reader) book(root ast.Node) *placed {
	var b placed
	f, ok := decode[bookFile](r, root)
	if !ok {
		return &b
	}
	b.House = r.house(f.House, root)
	b.Vessels, b.vessels = readAll(r, f.Vessels, r.vessel)
	b.Liquids, b.liquids = readAll(r, f.Liquids, r.liquid)
	b.Botanicals, b.botanicals = readAll(r, f.Botanicals, r.botanical)
	b.Recipes, b.recipes = readAll(r, f.Recipes, r.recipe)
	var classes [][]Class
	var at []*token.Token
	classes, at = readAll(r, f.Classes, r.class)
	for i, family := range classes {
		b.Classes = append(b.Classes, family...)
		b.classes = append(b.classes, slices.Repeat(at[i:i+1], len(family))...)
	}
	return &b
}

// readAll decodes the entries of one list and reads each that is sound.
func readAll[F, T any](r *reader, es entries, read func(F, *token.Token) T) (all []T, at []*token.Token) {
	for _, e := range es.list {
		if f, ok := decode[F](r, e.node); ok {
			all = append(all, read(f, e.node.GetToken()))
			at = append(at, e.node.GetToken())
		}
	}
	return all, at
}

// decode decodes one part of the file strictly. The decoder stops at the first
// key that it does not take, so that key is told, cut out, and the rest tried
// again; a part with any such key counts as unread.
func decode[F any](r *reader, n ast.Node) (F, bool) {
	for cuts := range mostComplaints {
		var f F
		err := yaml.NodeToValue(n, &f, yaml.Strict())
		if err == nil {
			return f, cuts == 0
		}
		r.faults = append(r.faults, err)
		var placed yaml.Error
		if !errors.As(err, &placed) || !cut(n, placed.GetToken()) {
			break
		}
	}
	var none F
	return none, false
}

// cut takes the key or the list item that stands at bad out of n.
func cut(n ast.Node, bad *token.Token) bool {
	switch n := n.(type) {
	case *ast.MappingNode:
		for i, pair := range n.Values {
			if cut(pair.Value, bad) {
				return true
			}
			if pair.Key.GetToken() == bad || pair.Value.GetToken() == bad {
				n.Values = slices.Delete(n.Values, i, i+1)
				return true
			}
		}
	case *ast.SequenceNode:
		for i, item := range n.Values {
			if cut(item, bad) {
				return true
			}
			if item.GetToken() == bad {
				n.Values = slices.Delete(n.Values, i, i+1)
				return true
			}
		}
	}
	return false
}

// fault notes what is wrong at one place.
func (r *reader) fault(at *token.Token, format string, args ...any) {
	r.faults = append(r.faults, complaint(at, fmt.Sprintf(format, args...)))
}

// err joins all faults in the order of the file.
func (r *reader) err(src []byte) error {
	var all []*LineError
	for _, err := range r.faults {
		all = append(all, faultOf(err, src))
	}
	slices.SortStableFunc(all, func(a, b *LineError) int { return cmp.Compare(a.Line, b.Line) })
	var errs []error
	for _, f := range all {
		errs = append(errs, f)
	}
	return errors.Join(errs...)
}

// LineError is one thing wrong in a book file.
type LineError struct {
	Line int    // from 1; 0 when it belongs to no line
	Said string // what is wrong
	Text string // the line as it stands in the file
}

// Error says what is wrong and shows the line.
func (f *LineError) Error() string {
	if f.Line == 0 {
		return f.Said
	}
	return fmt.Sprintf("line %d: %s\n%6d | %s", f.Line, f.Said, f.Line, f.Text)
}

// faultOf takes what and where from an error of the YAML library.
func faultOf(err error, src []byte) *LineError {
	var placed yaml.Error
	if !errors.As(err, &placed) || placed.GetToken() == nil {
		return &LineError{Said: err.Error()}
	}
	f := &LineError{Line: placed.GetToken().Position.Line, Said: placed.GetMessage()}
	lines := bytes.Split(src, []byte("\n"))
	if f.Line >= 1 && f.Line <= len(lines) {
		f.Text = string(bytes.TrimRight(lines[f.Line-1], "\r"))
	}
	return f
}
