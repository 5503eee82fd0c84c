'use strict';
// Draws blocks and their buttons, and asks first what a button wants asked.

const Blocks = (() => {
  const {node, unescape, paragraphs} = Markup;

  // draw puts blocks into body. act is told of a tap: it gets the block_id and
  // the button, and gives a promise.
  function draw(body, blocks, room, act) {
    for (const b of blocks) {
      switch (b.type) {
        case 'divider': body.append(node('hr')); break;
        case 'header': body.append(node('h2', '', unescape(b.text.text))); break;
        case 'context': {
          const small = node('div', 'context');
          b.elements.forEach(t => paragraphs(small, t, room));
          body.append(small);
          break;
        }
        case 'section': {
          if (b.text) paragraphs(body, b.text, room);
          if (b.fields) {
            const grid = node('div', 'fields');
            b.fields.forEach(t => { const cell = node('div'); paragraphs(cell, t, room); grid.append(cell); });
            body.append(grid);
          }
          if (b.accessory) body.append(buttons(b.block_id, [b.accessory], room, act));
          break;
        }
        case 'actions': body.append(buttons(b.block_id, b.elements, room, act)); break;
        case 'input': body.append(Fields.draw(b)); break;
      }
    }
  }

  function buttons(blockID, list, room, act) {
    const row = node('div', 'buttons');
    for (const b of list) {
      const key = node('button', {primary: 'main', danger: 'danger'}[b.style] || '', unescape(b.text.text));
      key.type = 'button';
      if (b.accessibility_label) key.setAttribute('aria-label', b.accessibility_label);
      key.addEventListener('click', () => tap(key, row, blockID, b, room, act));
      row.append(key);
    }
    return row;
  }

  async function tap(key, row, blockID, b, room, act) {
    if (b.confirm && !await sure(b.confirm, b.style, room)) return;
    const all = [...row.children];
    all.forEach(k => { k.disabled = true; });
    key.classList.add('sent');
    await act(blockID, b);
    all.forEach(k => { k.disabled = false; });
    key.classList.remove('sent');
  }

  // sure asks in a dialog of its own.
  function sure(c, style, room) {
    const box = document.getElementById('sure').content.firstElementChild.cloneNode(true);
    box.querySelector('h2').textContent = unescape(c.title.text);
    paragraphs(box.querySelector('.ask'), c.text, room);
    const [no, yes] = box.querySelectorAll('button');
    no.textContent = c.deny ? unescape(c.deny.text) : 'Cancel';
    yes.textContent = unescape(c.confirm.text);
    yes.className = (c.style || style) === 'danger' ? 'danger' : 'main';
    document.body.append(box);
    box.showModal();
    return new Promise(done => box.addEventListener('close', () => {
      box.remove();
      done(box.returnValue === 'yes');
    }));
  }

  return {draw};
})();

// Fields draws what is filled in, and reads it.
const Fields = (() => {
  const {node, unescape} = Markup;

  // draw gives a field with its label, its hint and a place for what is wrong.
  function draw(b) {
    const e = b.element;
    const box = node('div', 'field');
    box.dataset.block = b.block_id;
    box.dataset.action = e.action_id;
    const id = 'f-' + b.block_id;
    const label = node('label', '', unescape(b.label.text));
    label.htmlFor = id;
    if (b.optional) label.append(node('span', 'may', ' (may stay empty)'));
    const entry = e.type === 'static_select' ? choice(e, b.optional) : typed(e);
    entry.id = id;
    entry.required = !b.optional;
    const wrong = node('p', 'wrong');
    wrong.id = id + '-wrong';
    wrong.hidden = true;
    const said = [wrong.id];
    box.append(label, entry);
    if (b.hint) {
      const hint = node('p', 'hint', unescape(b.hint.text));
      hint.id = id + '-hint';
      said.unshift(hint.id);
      box.append(hint);
    }
    entry.setAttribute('aria-describedby', said.join(' '));
    box.append(wrong);
    return box;
  }

  function typed(e) {
    const entry = node(e.multiline ? 'textarea' : 'input');
    if (e.multiline) entry.rows = 3;
    else entry.type = 'text';
    if (e.placeholder) entry.placeholder = unescape(e.placeholder.text);
    if (e.min_length) entry.minLength = e.min_length;
    entry.maxLength = e.max_length || 3000;
    entry.autocomplete = 'off';
    entry.autofocus = !!e.focus_on_load;
    return entry;
  }

  function choice(e, optional) {
    const entry = node('select');
    const none = node('option', '', e.placeholder ? unescape(e.placeholder.text) : optional ? 'None' : 'Choose one');
    none.value = '';
    entry.append(none);
    for (const o of e.options) {
      const one = node('option', '', unescape(o.text.text) + (o.description ? ', ' + unescape(o.description.text) : ''));
      one.value = o.value;
      entry.append(one);
    }
    entry.autofocus = !!e.focus_on_load;
    return entry;
  }

  const entry = box => box.querySelector('input, textarea, select');
  const boxes = form => [...form.querySelectorAll('.field')];

  // values reads the fields, by block_id.
  const values = form => Object.fromEntries(boxes(form).map(box => [box.dataset.block, entry(box).value]));

  // put fills the fields.
  function put(form, values) {
    boxes(form).forEach(box => { entry(box).value = values[box.dataset.block] || ''; });
  }

  // blame shows what is wrong, beside each field, and goes to the first.
  function blame(form, errors) {
    let first = null;
    for (const box of boxes(form)) {
      const text = errors && errors[box.dataset.block];
      const wrong = box.querySelector('.wrong');
      wrong.hidden = !text;
      wrong.textContent = text ? 'Look again: ' + text : '';
      entry(box).setAttribute('aria-invalid', text ? 'true' : 'false');
      if (text && !first) first = entry(box);
    }
    if (first) first.focus();
  }

  return {draw, values, put, blame};
})();
