package kitchen

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"ventbell/internal/plan"
	"ventbell/internal/request"
)

// The fields of the forms, by their ids.
const (
	FieldRecipe = "recipe"
	FieldVolume = "volume"
	FieldVessel = "vessel" // a tag of the book; empty = any
	FieldMore   = "more"   // typed: "x2", "60 g", "rest 90"
	FieldLine   = "line"   // of the correction of a reading
)

// Carry gives what the form that corrects a batch's reading carries.
func (b *Batch) Carry() string { return fmt.Sprintf("%d.%d", b.ID, b.Turn) }

// opened is the answer to one who asks for a form, with what to put into it.
// Nothing changes.
func (s *scene) opened(f FormName, text string) Answer {
	switch {
	case changesBook(f):
		return s.openEntry(f, text)
	case f != FormStart && f != FormReading:
		return badForm("")
	}
	return Answer{Kind: OpenForm, Form: f, Line: text, Who: s.cmd.By, Private: true}
}

// change opens the form that corrects how a batch was read. Nothing changes
// until it comes back.
func (s *scene) change() Answer {
	b := s.Batches[s.tap.Batch]
	if refused, may := s.mayChange(b); !may {
		return refused
	}
	return Answer{
		Kind: OpenForm, Form: FormReading, Batch: b.ID, Vessel: b.Vessel, Title: b.Title, Phase: b.Phase,
		Line: b.Line, Who: b.Owner, Private: true,
	}
}

// mayChange refuses to change what is more than a reservation by now.
func (s *scene) mayChange(b *Batch) (Answer, bool) {
	switch {
	case b == nil:
		return s.refuseNothing(), false
	case b.Gas() > 0 || b.Told != nil && b.Phase == Loading:
		return s.refuse(b, RefusePressured), false
	case b.Phase != Loading:
		return s.refuse(b, RefuseOldButton), false
	}
	return Answer{}, true
}

// filled carries out a form that came back.
func (s *scene) filled(f Filled) Answer {
	switch FormName(f.Name) {
	case FormStart:
		return s.startForm(f)
	case FormReading:
		return s.readingForm(f)
	case FormSign:
		return s.signForm(f)
	}
	if changesBook(FormName(f.Name)) {
		return s.entryFilled(f)
	}
	return badForm("")
}

func badForm(field string) Answer {
	return Answer{Kind: Refuse, Code: RefuseForm, Field: field, Private: true}
}

// startForm starts what a form asks for, as if its line had been typed.
func (s *scene) startForm(f Filled) Answer {
	if oneLine(f.Fields[FieldRecipe]) == "" {
		return badForm(FieldRecipe)
	}
	line := compose(f.Fields)
	reading := s.readLine(line.text)
	if r := reading.Request; r != nil && r.Verb != request.Start && r.Verb != request.Help {
		return Answer{Kind: Refuse, Code: RefuseNoStart, Verb: r.Verb, Line: line.text, Field: line.odd(), Private: true}
	}
	a := s.answer(reading)
	a.Field = line.about(a)
	return a
}

// readingForm takes the line that a form corrected: by itself, or in place of
// the reading of a batch.
func (s *scene) readingForm(f Filled) Answer {
	line := oneLine(f.Fields[FieldLine])
	if line == "" {
		return badForm(FieldLine)
	}
	if f.Carry != "" {
		t, ok := parseCarry(f.Carry)
		if !ok {
			return badForm("")
		}
		s.tap = t
	}
	a := s.answer(s.readLine(line))
	if slices.Contains([]AnswerKind{Unread, Unclear, Impossible, Refuse}, a.Kind) {
		a.Field = FieldLine
	}
	return a
}

func parseCarry(carry string) (Tap, bool) {
	number, turn, _ := strings.Cut(carry, ".")
	n, err1 := strconv.ParseUint(number, 10, 32)
	t, err2 := strconv.ParseUint(turn, 10, 16)
	return Tap{Batch: uint32(n), Turn: uint16(t), With: "replace"}, err1 == nil && err2 == nil && n > 0
}

// replace puts a corrected reading in the place of a batch that nobody charged
// yet: all in one change, or nothing.
func (s *scene) replace() Answer {
	if s.req.Verb != request.Start {
		return Answer{Kind: Refuse, Code: RefuseNoStart, Verb: s.req.Verb, Line: s.req.String(), Private: true}
	}
	old := s.Batches[s.tap.Batch]
	if refused, may := s.mayChange(old); !may {
		return refused
	}
	if s.tap.Turn != old.Turn {
		return s.refuse(old, RefuseOldButton)
	}
	old.Phase = Scrapped // its vessel counts as free while the new line is planned
	p, refused := s.layOut()
	old.Phase = Loading
	switch {
	case refused != nil:
		return *refused
	case s.doubtful():
		return s.stillOn(p)
	}
	s.letGo(old)
	a := s.begin(p)
	for _, id := range a.Batches {
		s.Batches[id].Owner = old.Owner // a word was wrong, not the person
	}
	old.Replaced, a.Replaced = a.Batch, old.ID
	return a
}

// letGo scraps a reservation.
func (s *scene) letGo(b *Batch) {
	asked := s.req
	s.req = request.Request{Verb: request.Scrap, Vessel: b.Vessel}
	s.scrap(b)
	s.req = asked
}

// composed is the line that a form's fields make, and where each stands in it.
type composed struct {
	text  string
	parts []part
}

type part struct {
	field    string
	from, to int
}

// oneLine gives what was typed into a field as one line.
func oneLine(text string) string { return strings.Join(strings.Fields(text), " ") }

// compose makes the line that says what a form for a start does.
func compose(fields map[string]string) composed {
	c := composed{text: string(request.Start)}
	for _, field := range []string{FieldRecipe, FieldVolume, FieldVessel, FieldMore} {
		value := oneLine(fields[field])
		if value == "" {
			continue
		}
		if field == FieldVessel {
			c.text += " in vessel"
		}
		from := len(c.text) + 1
		c.text += " " + value
		c.parts = append(c.parts, part{field, from, len(c.text)})
	}
	return c
}

// about gives the field that an answer to the line is about; empty when it is
// about none.
func (c composed) about(a Answer) string {
	switch {
	case a.Kind == Unread:
		return c.aboutProblem(*a.Problem)
	case a.Kind == Unclear:
		return c.aboutQuestion(*a.Question)
	case a.Kind == Impossible:
		return c.aboutPlan(*a.Plan)
	case a.Kind == Refuse:
		return FieldVessel // taken, or not washed
	}
	return ""
}

func (c composed) aboutProblem(p request.Problem) string {
	if p.Word != "" && p.Where > 0 {
		for _, part := range c.parts {
			if p.Where >= part.from && p.Where < part.to {
				return part.field
			}
		}
	}
	switch p.Code {
	case request.UnknownVessel:
		return FieldVessel
	case request.BadVolume:
		return FieldVolume
	case request.BadCount, request.BadNumber, request.BadRest, request.BadTemperature, request.Future, request.TooLongAgo:
		return c.odd()
	}
	return FieldRecipe
}

func (c composed) aboutQuestion(q request.Question) string {
	switch q.Code {
	case request.WhichVessel:
		return FieldVessel
	case request.WhichRecipe, request.NotHouse:
		return FieldRecipe
	}
	for _, part := range slices.Backward(c.parts) {
		if strings.Contains(strings.ToLower(c.text[part.from:part.to]), strings.ToLower(q.Word)) {
			return part.field
		}
	}
	return FieldRecipe
}

func (c composed) aboutPlan(p plan.Problem) string {
	switch p.Code {
	case plan.TooMuch, plan.NextRound, plan.TooLittle:
		return FieldVolume
	case plan.NoVessel, plan.VesselShut, plan.NutFreeOnly, plan.OverStamp, plan.AcidMetal, plan.PlasticHead:
		return FieldVessel
	case plan.NotHouseRule, plan.Refused:
		return FieldRecipe
	}
	return c.odd()
}

// odd gives the field for what is typed beside the usual; without one it can
// only be the recipe.
func (c composed) odd() string {
	for _, part := range c.parts {
		if part.field == FieldMore {
			return FieldMore
		}
	}
	return FieldRecipe
}
