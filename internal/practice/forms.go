package practice

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"
	"unicode/utf8"
)

// ErrNoForm says that a person has no form open.
var ErrNoForm = errors.New("no form is open")

// Form gives the form that a person has open, the topmost when several lie on
// each other. Wait returns at its changes too.
func (r *Room) Form(person string) (View, bool) {
	r.mu.Lock()
	defer r.mu.Unlock()
	v := r.face(person).top()
	if v == nil {
		return View{}, false
	}
	return v.shown(), true
}

// Submit has a person send off the open form with these values, each under its
// field's block_id or label; of what can be chosen, the option's value or text.
// Fields that are not named keep what stands in them. What the service finds
// wrong is in the response, and the form stays open with it.
func (r *Room) Submit(ctx context.Context, person string, values map[string]string) (Response, error) {
	r.mu.Lock()
	f := r.face(person)
	v := f.top()
	err := fillIn(v, values)
	if err == nil {
		err = complete(v)
	}
	if err != nil {
		r.mu.Unlock()
		return Response{}, fmt.Errorf("submit: %w", err)
	}
	v.Errors = nil
	r.turned(f)
	id, title := v.ID, v.Title.Text
	p := r.acted("view_submission", person, fields{
		"view": r.viewWire(v), "trigger_id": r.openTrigger(person, true), "response_urls": []fields{},
	})
	r.mu.Unlock()

	start := time.Now()
	body, err := r.request(ctx, p)
	if err != nil {
		return Response{}, fmt.Errorf("submit %q: %w", title, err)
	}
	out := Response{Took: time.Since(start)}
	r.mu.Lock()
	defer r.mu.Unlock()
	out.Errors, err = r.submitted(f, id, body)
	if err != nil {
		return out, fmt.Errorf("submit %q: answer refused: %w", title, err)
	}
	return out, nil
}

// submitted does what the service answered to a form; r.mu is held. Nothing
// said closes it.
func (r *Room) submitted(f *face, id string, body json.RawMessage) (map[string]string, error) {
	at := slices.IndexFunc(f.forms, func(v *View) bool { return v.ID == id })
	if at < 0 {
		return nil, nil // the service has opened another meanwhile
	}
	var said struct {
		Action string            `json:"response_action"`
		Errors map[string]string `json:"errors"`
		View   json.RawMessage   `json:"view"`
	}
	if raw := bytes.TrimSpace(body); len(raw) > 0 && string(raw) != "null" {
		d := json.NewDecoder(bytes.NewReader(raw))
		d.DisallowUnknownFields()
		if err := d.Decode(&said); err != nil {
			return nil, r.astray(err)
		}
	}
	defer r.turned(f)
	v := f.forms[at]
	switch said.Action {
	case "":
		if said.Errors != nil || said.View != nil {
			return nil, r.astray(errors.New("no response_action"))
		}
		f.forms = f.forms[:at]
	case "clear":
		f.forms = nil
	case "errors":
		if len(said.Errors) == 0 {
			return nil, r.astray(errors.New("response_action errors without errors"))
		}
		for block, text := range said.Errors {
			if v.field(block) == nil || text == "" {
				return nil, r.astray(fmt.Errorf("error %q for %q, which is no input block", text, block))
			}
		}
		v.Errors = said.Errors
		return maps.Clone(said.Errors), nil
	case "update", "push":
		next, no := r.readView(string(said.View), "modal")
		if no == nil && said.Action == "push" && len(f.forms) == maxForms {
			no = refuse("push_limit_reached")
		}
		if no != nil {
			return nil, r.astray(fmt.Errorf("%s %s", no.code, strings.Join(no.messages, "; ")))
		}
		if said.Action == "push" {
			f.push(next)
		} else {
			v.become(next)
		}
	default:
		return nil, r.astray(fmt.Errorf("response_action %q", said.Action))
	}
	return nil, nil
}

// astray counts an answer that Slack would not understand; the form stays as
// it is. r.mu is held.
func (r *Room) astray(err error) error {
	r.counts.Refused["form answer"]++
	return err
}

// fillIn puts values into a form's fields.
func fillIn(v *View, values map[string]string) error {
	if v == nil {
		return ErrNoForm
	}
	for _, key := range slices.Sorted(maps.Keys(values)) {
		b := v.field(key)
		for i := range v.Blocks {
			if l := v.Blocks[i].Label; b == nil && l != nil && unescape.Replace(l.Text) == key {
				b = &v.Blocks[i]
			}
		}
		if b == nil {
			return fmt.Errorf("there is no field %q", key)
		}
		value := values[key]
		if len(b.Element.Options) > 0 && value != "" {
			chosen := b.Element.named(value)
			if chosen == nil {
				return fmt.Errorf("%q is no choice of %q", value, key)
			}
			value = chosen.Value
		}
		v.Values[b.BlockID] = value
	}
	return nil
}

// named gives the option with that value or else that text.
func (in *Input) named(what string) *Option {
	if o := in.option(what); o != nil {
		return o
	}
	for i := range in.Options {
		if unescape.Replace(in.Options[i].Text.Text) == what {
			return &in.Options[i]
		}
	}
	return nil
}

// complete says what keeps a form from being sent: Slack's own clients hold it
// back too.
func complete(v *View) error {
	if v.Submit == nil {
		return errors.New("this form has nothing to send")
	}
	for _, b := range v.Blocks {
		if b.Element == nil {
			continue
		}
		label, value := unescape.Replace(b.Label.Text), v.Values[b.BlockID]
		n := utf8.RuneCountInString(value)
		most := b.Element.MaxLength
		if most == 0 {
			most = maxTyped
		}
		switch {
		case n == 0 && !b.Optional:
			return fmt.Errorf("%q is not filled in", label)
		case n > 0 && n < b.Element.MinLength:
			return fmt.Errorf("%q needs %d characters or more", label, b.Element.MinLength)
		case n > most:
			return fmt.Errorf("%q takes %d characters at most", label, most)
		case strings.Contains(value, "\n") && !b.Element.Multiline:
			return fmt.Errorf("%q is one line", label)
		}
	}
	return nil
}

// CloseForm has a person close the open form without sending it. The service
// hears of it only if the form asked for that.
func (r *Room) CloseForm(ctx context.Context, person string) error {
	r.mu.Lock()
	f := r.face(person)
	v := f.top()
	if v == nil {
		r.mu.Unlock()
		return fmt.Errorf("close: %w", ErrNoForm)
	}
	if v.ClearOnClose {
		f.forms = nil
	} else {
		f.forms = f.forms[:len(f.forms)-1]
	}
	r.turned(f)
	p := r.acted("view_closed", person, fields{"view": r.viewWire(v), "is_cleared": v.ClearOnClose})
	r.mu.Unlock()
	if !v.NotifyOnClose {
		return nil
	}
	if _, err := r.request(ctx, p); err != nil {
		return fmt.Errorf("close %q: %w", v.Title.Text, err)
	}
	return nil
}

// TapForm has a person tap the button with that label in the open form.
func (r *Room) TapForm(ctx context.Context, person, label string) (Response, error) {
	return r.tapView(ctx, person, (*face).top, nil, labelled(label))
}

// tapView has a person tap a button of a view, with these values in its fields.
func (r *Room) tapView(ctx context.Context, person string, which func(*face) *View, values map[string]string, pick picker) (Response, error) {
	r.mu.Lock()
	p, err := r.tappedView(person, which(r.face(person)), values, pick)
	r.mu.Unlock()
	if err != nil {
		return Response{}, fmt.Errorf("tap: %w", err)
	}
	return r.told(ctx, "tap", p)
}

func (r *Room) tappedView(person string, v *View, values map[string]string, pick picker) (parcel, error) {
	if v == nil {
		return parcel{}, fmt.Errorf("%s has no such view open", r.name(person))
	}
	if err := fillIn(v, values); err != nil {
		return parcel{}, err
	}
	block, b, ok := find(v.Blocks, pick)
	if !ok {
		return parcel{}, errors.New("no such button")
	}
	return r.acted("block_actions", person, fields{
		"view": r.viewWire(v), "container": fields{"type": "view", "view_id": v.ID},
		"actions": []fields{r.action(block, b)}, "trigger_id": r.openTrigger(person, v.Type == "modal"),
	}), nil
}
