package kitchen

import (
	"slices"
	"strings"
	"time"

	"ventbell/internal/request"
)

const (
	// unansweredFor is how long a question waits before it is said in other words.
	unansweredFor = 20 * time.Second
	// heldFor is how long a vessel is held for the answer: as long as one that is
	// reserved waits for its first charger.
	heldFor = reserved
	// askedAtMost is how many questions are open at once, and how many that are
	// over are remembered: each bounds what a kitchen holds.
	askedAtMost = 4
)

// Asked is a question back about a line that would start something. Its message
// stands in the outbox, so that it can be worded anew, and the vessel that the
// start would take is held until there is an answer. Nothing starts from it by
// itself.
type Asked struct {
	N  uint16 `cbor:"n"` // the Turn of its QuestionNote and of its buttons
	By Person `cbor:"b"`
	At Moment `cbor:"a"`
	// Line is what was said; once it is answered, what was chosen.
	Line    string   `cbor:"l"`
	Lane    string   `cbor:"c"`           // where it stands
	Vessels []string `cbor:"v,omitempty"` // held for it; once it is over, that were
	Answer  Answer   `cbor:"q"`           // the question as it was answered
	// Told are the ids of those who named a vessel and were told that it is held.
	Told     []string `cbor:"t,omitempty"`
	Reworded bool     `cbor:"r,omitempty"`
	End      AskedEnd `cbor:"e,omitempty"`
	Ended    Mark     `cbor:"m,omitzero"`
}

// AskedEnd says how a question ended; empty = it is open.
type AskedEnd string

// The ends of a question. All but the first two let its vessel go and leave its
// buttons: a tap on one plans anew.
const (
	AskedAnswered AskedEnd = "answered"
	AskedCalled   AskedEnd = "called off" // by whoever was asked
	AskedLapsed   AskedEnd = "lapsed"     // nobody answered
	AskedLeft     AskedEnd = "left"       // who was asked started or asked for something else
	AskedTaken    AskedEnd = "taken"      // somebody else took its vessel
)

// number gives the number under which a question's message is kept.
func (q *Asked) number() uint32 { return ownNumber(rowAsked, q.N) }

// HeldUntil gives when its vessel is let go.
func (q *Asked) HeldUntil() Moment { return q.At.Add(heldFor) }

// nextAt gives a question's next moment: to be worded anew, to let its vessel
// go, to be forgotten.
func (q *Asked) nextAt() Moment {
	switch {
	case q.End != "":
		return q.Ended.Entered.Add(undoFor)
	case q.Reworded:
		return q.HeldUntil()
	}
	return q.At.Add(unansweredFor)
}

// Question gives the question of this number; nil if it has left.
func (k *Kitchen) Question(n uint16) *Asked {
	i := slices.IndexFunc(k.Head.Asked, func(q Asked) bool { return q.N == n })
	if i < 0 {
		return nil
	}
	return &k.Head.Asked[i]
}

// Holding gives the open question for which a vessel is held; nil if none is.
func (k *Kitchen) Holding(tag string) *Asked {
	for _, q := range k.openAsked() {
		if slices.Contains(q.Vessels, tag) {
			return q
		}
	}
	return nil
}

// openAsked gives the questions that wait for an answer, the oldest first.
func (k *Kitchen) openAsked() []*Asked {
	var list []*Asked
	for i := range k.Head.Asked {
		if q := &k.Head.Asked[i]; q.End == "" {
			list = append(list, q)
		}
	}
	return list
}

// tapped gives the question whose button was tapped.
func (s *scene) tapped() *Asked {
	if s.cmd.Tap == nil || s.tap.Batch != 0 || s.tap.Turn == 0 {
		return nil
	}
	return s.Question(s.tap.Turn)
}

// keepAsked keeps a question back about a start, and holds the vessel for it. A
// question in a form stands there; one in a correction has its batch's vessel;
// nothing is held for a line that reached us late.
func (s *scene) keepAsked(a Answer) Answer {
	if q := s.tapped(); q != nil && slices.Contains([]AnswerKind{Done, Already, Told, GlassAnswer, ForLater}, a.Kind) {
		s.end(q, AskedAnswered) // by something else than a start
	}
	starts := s.starts(a)
	if len(starts) == 0 || s.cmd.Form != nil || s.tap.With == "replace" || s.doubtful() {
		return a
	}
	s.req.Verb = request.Start
	if refused, is := s.denied(Act(request.Start)); is {
		return refused // asked, they could not answer
	}
	if q := s.tapped(); q != nil {
		s.end(q, AskedAnswered)
	}
	for _, q := range s.openAsked() {
		if q.By.ID == s.cmd.By.ID {
			s.end(q, AskedLeft)
		}
	}
	s.roomForAsked()
	if s.Head.LastAsked++; s.Head.LastAsked == 0 {
		s.Head.LastAsked = 1
	}
	q := Asked{
		N: s.Head.LastAsked, By: s.cmd.By, At: s.now, Line: cutTo(s.spoken(), 120), Lane: s.lane(), Vessels: s.wouldTake(starts),
	}
	a.Asked = q.N
	if a.Kind == Unclear {
		a.Carry = &Tap{Turn: q.N}
	}
	for i := range a.Choices {
		a.Choices[i].Tap.Turn = q.N
	}
	q.Answer = a
	s.Head.Asked = append(s.Head.Asked, q)
	s.log(nil, "asked back", "line", q.Line, "vessels", strings.Join(q.Vessels, " "))
	s.putAsked(&q, false)
	return a
}

// starts gives what the buttons of a question would start now; nothing where it
// is about something else.
func (s *scene) starts(a Answer) []request.Request {
	var lines []string
	switch {
	case a.Kind == Unclear:
		for _, o := range a.Question.Options {
			lines = append(lines, o.Line)
		}
	case a.Kind == Ask && slices.Contains([]Code{AskAgain, AskNever}, a.Code):
		for _, c := range a.Choices {
			lines = append(lines, c.Tap.Line)
		}
	}
	var list []request.Request
	for _, line := range lines {
		r := s.readLine(line).Request
		if r != nil && r.Verb == request.Start && r.For.IsZero() {
			list = append(list, *r)
		}
	}
	return list
}

// wouldTake gives the vessels of the first of several starts that can be planned.
func (s *scene) wouldTake(starts []request.Request) []string {
	for _, r := range starts {
		p, problem := s.plan(r)
		var tags []string
		for _, run := range p.Runs {
			tags = append(tags, run.Vessel)
		}
		held := slices.ContainsFunc(tags, func(tag string) bool { return s.Holding(tag) != nil })
		if problem == nil && !held { // a question takes nothing from another one
			return tags
		}
	}
	return nil
}

// spoken gives the line that was typed, or that stood on the button.
func (s *scene) spoken() string {
	if s.cmd.Tap != nil {
		return s.tap.Line
	}
	return oneLine(s.cmd.Text)
}

func cutTo(text string, most int) string {
	if r := []rune(text); len(r) > most {
		return string(r[:most-1]) + "…"
	}
	return text
}

// lane gives where a question back is to stand: where everybody sees what is
// held, unless it was said in private or the channel takes nothing.
func (s *scene) lane() string {
	channel := s.Head.Team.Channel
	if s.cmd.Direct || channel == "" || s.Head.inTrouble(channel) {
		return "@" + s.cmd.By.ID
	}
	return channel
}

// roomForAsked lets the oldest question go when there are too many, and forgets
// those that are over.
func (s *scene) roomForAsked() {
	if open := s.openAsked(); len(open) >= askedAtMost {
		s.end(open[0], AskedLapsed)
	}
	for over := len(s.Head.Asked) - len(s.openAsked()); over > askedAtMost; over-- {
		i := slices.IndexFunc(s.Head.Asked, func(q Asked) bool { return q.End != "" })
		s.forgetAsked(&s.Head.Asked[i])
	}
}

// forgetAsked lets a question leave.
func (s *scene) forgetAsked(q *Asked) {
	n := q.N
	s.ch.Forget = append(s.ch.Forget, q.number())
	s.Head.Asked = slices.DeleteFunc(slices.Clone(s.Head.Asked), func(q Asked) bool { return q.N == n })
}

// putAsked queues a question's message as it is now.
func (s *scene) putAsked(q *Asked, edit bool) {
	e := s.ownEntry(q.number(), QuestionNote, q.N, s.now)
	e.Lane, e.Edit = q.Lane, edit
	if strings.HasPrefix(q.Lane, "@") {
		e.Key += q.Lane
	}
	s.queue(e)
}

// end ends a question: its vessel is held no longer.
func (s *scene) end(q *Asked, how AskedEnd) {
	if q.End == AskedAnswered || q.End == AskedCalled || q.End != "" && how != AskedAnswered {
		return
	}
	q.End, q.Ended, q.Told = how, s.mark(), nil
	if how == AskedAnswered {
		q.Line, q.Answer = cutTo(s.spoken(), 120), Answer{Language: q.Answer.Language}
	}
	s.log(nil, "question over", "how", string(how), "line", q.Line)
	s.putAsked(q, true)
}

// settle ends the questions that a start answers or leaves behind; of the one
// whose button was tapped it gives the vessels that were held for it.
func (s *scene) settle() (held []string) {
	line := s.req.String()
	for i := range s.Head.Asked {
		q := &s.Head.Asked[i]
		mine := q.End == "" && q.By.ID == s.cmd.By.ID
		offered := slices.ContainsFunc(s.starts(q.Answer), func(r request.Request) bool { return r.String() == line })
		switch {
		case q == s.tapped(), mine && offered:
			held = q.Vessels
			s.end(q, AskedAnswered)
		case mine:
			s.end(q, AskedLeft)
		}
	}
	return held
}

// answeredBefore answers a button of a question that was answered.
func (s *scene) answeredBefore() (Answer, bool) {
	q := s.tapped()
	if q == nil || q.End != AskedAnswered && q.End != AskedCalled {
		return Answer{}, false
	}
	return Answer{
		Kind: Already, Verb: request.Start, Over: q.End, Line: q.Line, Who: q.Ended.By, At: q.Ended.Done, Private: true,
	}, true
}

// calledOff ends the speaker's own question unanswered.
func (s *scene) calledOff(q *Asked) Answer {
	s.end(q, AskedCalled)
	return Answer{
		Kind: Done, Verb: request.Scrap, Over: q.End, Line: q.Line, Who: s.cmd.By, At: s.done, Language: q.Answer.Language, Private: true,
	}
}

// heldBack gives the question of somebody else for which a vessel is held
// against a request; nil if none is. Who was told so and names the vessel again,
// or taps that they take it all the same, gets it; so does gas that went in.
func (s *scene) heldBack(r request.Request, tag string) *Asked {
	q := s.Holding(tag)
	switch {
	case q == nil, q.By.ID == s.cmd.By.ID, q == s.tapped(), s.tap.With == takeHeld, tellsGas(s.req.Verb):
		return nil
	case r.Vessel == tag && slices.Contains(q.Told, s.cmd.By.ID):
		return nil
	}
	return q
}

// takeHeld is what a tap says besides that takes a vessel that is held.
const takeHeld = "held"

// heldFromPlan gives a vessel that is held, when a request cannot be planned for
// no other reason than that.
func (s *scene) heldFromPlan(r request.Request) (string, bool) {
	if r.Vessel != "" {
		return r.Vessel, s.heldBack(r, r.Vessel) != nil
	}
	if len(s.openAsked()) == 0 {
		return "", false
	}
	p, problem := s.planOver(r, s.free(s.book, s.now))
	if problem != nil {
		return "", false
	}
	for _, run := range p.Runs {
		if s.heldBack(r, run.Vessel) != nil {
			return run.Vessel, true
		}
	}
	return "", false
}

// tellHeld tells who is asking about a vessel, with one tap to take it all the
// same.
func (s *scene) tellHeld(tag string) Answer {
	q := s.Holding(tag)
	if !slices.Contains(q.Told, s.cmd.By.ID) {
		q.Told = joined(q.Told[max(0, len(q.Told)-askedAtMost+1):], []string{s.cmd.By.ID})
		s.log(nil, "told that a vessel is held", "vessel", tag, "for", q.By.ID)
	}
	a := Answer{Kind: Ask, Code: AskHeld, Verb: request.Start, Vessel: tag, Who: q.By, At: q.At, Line: s.req.String(), Private: true}
	if s.tap.With != "replace" { // there, it is named again
		a.Choices = []Choice{{Code: ChooseHeld, Tap: Tap{Line: s.req.String(), With: takeHeld}}}
	}
	return a
}

// nowUsed ends the question for which a vessel was held that is in use now.
func (s *scene) nowUsed(tag string) {
	if q := s.Holding(tag); q != nil {
		s.end(q, AskedTaken)
	}
}

// callsOff says that a line takes back the speaker's own question: it scraps or
// undoes, names nothing, and nothing was done by them since.
func (s *scene) callsOff() *Asked {
	if s.cmd.Tap != nil || s.cmd.Form != nil {
		return nil
	}
	var mine *Asked
	for _, q := range s.openAsked() {
		if q.By.ID == s.cmd.By.ID {
			mine = q
		}
	}
	if mine == nil {
		return nil
	}
	for _, b := range s.Batches {
		if b.Last.By.ID == s.cmd.By.ID && b.Last.Entered > mine.At {
			return nil
		}
	}
	const asked = "?" // a tag that nobody can type
	r := s.readAs(s.cmd.Text, []request.Open{{Vessel: asked, Phase: string(Loading), Mine: true}}).Request
	if r == nil || r.Vessel != asked || r.Verb != request.Scrap && r.Verb != request.Undo {
		return nil
	}
	return mine
}

// ringAsked carries out a question's moment.
func (s *scene) ringAsked(q *Asked) {
	switch {
	case q.End != "":
		s.log(nil, "question forgotten", "line", q.Line)
		s.forgetAsked(q)
	case q.Reworded:
		s.end(q, AskedLapsed)
	default:
		q.Reworded = true
		s.log(nil, "question reworded", "line", q.Line)
		s.putAsked(q, false)
	}
}

// askedChores gives what the questions wait for.
func (k *Kitchen) askedChores() []chore {
	var list []chore
	for _, q := range k.Head.Asked {
		n := q.N
		list = append(list, chore{q.nextAt(), func(s *scene, _ Moment) { s.ringAsked(s.Question(n)) }})
	}
	return list
}

// askedDirectly says the open questions that the channel may never have shown
// to those who were asked.
func (s *scene) askedDirectly() {
	for _, q := range s.openAsked() {
		if q.Lane == s.Head.Team.Channel {
			q.Lane = "@" + q.By.ID
			s.putAsked(q, false)
		}
	}
}
