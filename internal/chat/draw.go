package chat

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/slack-go/slack"

	"ventbell/internal/door"
	"ventbell/internal/voice"
)

// sheet is a message as Slack takes it: blocks to look at, and the same words
// as text, which is what phones announce and screen readers read.
type sheet struct {
	text   string
	blocks []slack.Block
}

const (
	// actionPrefix begins the action_id of every button of ours.
	actionPrefix = "bell-"
	rowLength    = 5 // buttons in a row; more than five wrap badly on a phone
	// stay is the button that leaves everything as it is, where Slack asks
	// "sure?" in a box of its own and nobody worded it: Slack wants one.
	stay = "Back"
)

// draw draws a message: the headline, the lines below it, the buttons.
func draw(m voice.Message) sheet {
	if len(m.Lines) == 0 {
		return sheet{}
	}
	return sheet{text: plain(m), blocks: messageBlocks(m, map[string]int{})}
}

// messageBlocks draws a message's lines and, below them, its buttons. used
// counts the names of buttons on what they stand on.
func messageBlocks(m voice.Message, used map[string]int) []slack.Block {
	var blocks []slack.Block
	for _, text := range sections(m.Lines) {
		blocks = append(blocks, section(text))
	}
	for row := range slices.Chunk(m.Buttons, rowLength) {
		elements := make([]slack.BlockElement, len(row))
		for i, b := range row {
			elements[i] = button(b, actionID(b, used), headline(m))
		}
		blocks = append(blocks, slack.NewActionBlock("", elements...))
	}
	return blocks
}

func headline(m voice.Message) string {
	if len(m.Lines) == 0 {
		return ""
	}
	return m.Lines[0].Plain()
}

// section is a block of Slack's markup. It is taken as it stands: nothing in
// it becomes a mention or a link by itself.
func section(text string) *slack.SectionBlock {
	return slack.NewSectionBlock(slack.NewTextBlockObject(slack.MarkdownType, text, false, true), nil, nil)
}

// plain gives a message as the text beside the blocks: all of its words, with
// the kitchen's own clock times. Mentions are mentions here too, since this is
// the text that a phone shows when it rings. It is all that a screen reader
// reads of a message by itself, so it lacks none of the lines. The buttons are
// not in it: they are reached one by one, and each says by its accessibility
// label what it does and to what.
func plain(m voice.Message) string {
	var lines []string
	for _, l := range m.Lines {
		var b strings.Builder
		for _, p := range l {
			b.WriteString(plainPiece(p))
		}
		lines = append(lines, unquoted(b.String()))
	}
	return strings.Join(lines, "\n")
}

// sections gives the text of the sections: the headline stands alone, the
// other lines together as far as they fit.
func sections(lines []voice.Line) []string {
	var list []string
	for i, l := range lines {
		text := mark(l)
		switch last := len(list) - 1; {
		case strings.TrimSpace(text) == "": // Slack takes no empty section
		case i > 1 && last > 0 && units(list[last])+1+units(text) <= sectionLimit:
			list[last] += "\n" + text
		default:
			list = append(list, text)
		}
	}
	return list
}

func button(b voice.Button, id, headline string) *slack.ButtonBlockElement {
	name := label(b.Label, labelLimit)
	e := slack.NewButtonBlockElement(id, b.Tap.String(), name)
	e.AccessibilityLabel = label(name.Text+": "+headline, labelLimit).Text
	if b.Main {
		e.Style = slack.StylePrimary
	}
	if b.Sure != "" {
		e.Confirm = slack.NewConfirmationBlockObject(
			name, label(b.Sure, uncut), label(b.Label, confirmLimit), label(cmp.Or(b.Back, stay), confirmLimit))
	}
	return e
}

// label is text that Slack shows as it stands, in one line, cut at a limit.
func label(text string, limit int) *slack.TextBlockObject {
	return slack.NewTextBlockObject(slack.PlainTextType, cut(door.OneLine(text), limit), false, false)
}

// uncut is the limit of a label that loses its sense without its end: if it is
// too long, it is a mistake of ours.
const uncut = math.MaxInt

// actionID names a button by what it does: the same on every redraw, so that a
// finger on its way down still finds it, and unlike any other in its message.
func actionID(b voice.Button, used map[string]int) string {
	sum := sha256.Sum256([]byte(b.Tap.String()))
	id := actionPrefix + hex.EncodeToString(sum[:6])
	used[id]++
	if n := used[id]; n > 1 {
		id += "-" + strconv.Itoa(n)
	}
	return id
}
