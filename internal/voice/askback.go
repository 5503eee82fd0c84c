package voice

import (
	"strings"

	"ventbell/internal/kitchen"
)

// questionNote words the message of a question back about a start: as it was
// asked, in other words when nobody answered, or how it ended. It speaks the
// language of the line that it asks about.
func (v Voice) questionNote(k *kitchen.Kitchen, e kitchen.Entry, sent bool) (m Message, reason string) {
	q := k.Question(e.Turn)
	switch {
	case q == nil:
		return Message{}, "question has left"
	case q.End != "" && !sent:
		return Message{}, "question is over"
	}
	v = v.in(q.Answer.Language)
	asked := v.answer(k, q.Answer)
	switch {
	case q.End == kitchen.AskedAnswered, q.End == kitchen.AskedCalled:
		return message(v.say(phrase("asked."+string(q.End)), v.askedValues(q))), ""
	case q.End != "":
		return message(v.say(phrase("asked."+string(q.End)), v.askedValues(q)), v.say("asked.anew", nil)).with(asked.Buttons...), ""
	case q.Reworded:
		return message(v.say("asked.wait", v.askedValues(q)), asked.Lines[0], v.askedHeld(q)).with(asked.Buttons...), ""
	}
	return asked, ""
}

// askedFirst adds to a question that is kept for whom it is and what is held.
func (v Voice) askedFirst(k *kitchen.Kitchen, a kitchen.Answer, m Message) Message {
	if q := k.Question(a.Asked); q != nil && q.End == "" {
		first := message(m.Lines[0], v.say("asked.new", v.askedValues(q)), v.askedHeld(q))
		m.Lines = first.Lines
	}
	return m
}

// askedHeld says what is held for a question, and how long.
func (v Voice) askedHeld(q *kitchen.Asked) Line {
	if len(q.Vessels) == 0 {
		return v.say("asked.none", nil)
	}
	return v.say("asked.held", v.askedValues(q))
}

func (v Voice) askedValues(q *kitchen.Asked) values {
	vals := values{
		"who": q.By, "line": short(q.Line), "vessels": strings.Join(q.Vessels, ", "), "until": q.HeldUntil(), "at": q.Ended.Done,
	}
	if q.Ended.By.ID != "" {
		vals["by"] = q.Ended.By
	}
	return vals
}

// heldLines say which vessels are held for whose answer.
func (v Voice) heldLines(k *kitchen.Kitchen) []Line {
	var lines []Line
	for _, q := range k.Head.Asked {
		if q.End == "" && len(q.Vessels) > 0 {
			lines = append(lines, v.say("board.held", v.askedValues(&q)))
		}
	}
	return lines
}
