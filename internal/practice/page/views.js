'use strict';
// Somebody's own page, the forms that the bell opens, and the shortcuts.

const Views = (() => {
  const {node, unescape} = Markup;
  const $ = id => document.getElementById(id);
  let room, send; // of the page: who is who, and how something is sent
  let home = null;
  let open = null; // the form on show: {box, id, hash, keys}

  // --- one's own page

  function drawHome() {
    const place = $('home');
    const at = place.scrollTop;
    const box = node('article', 'own-page ticket');
    const paper = node('div', 'paper');
    const body = node('div', 'body');
    if (home && home.blocks.length) {
      Blocks.draw(body, home.blocks, room, (block, b) => send('/page/tap-view', {view: home.id, block, action: b.action_id}));
    } else {
      body.append(node('p', 'lead', 'Nothing on your page yet.'));
    }
    const first = body.querySelector('h2, p');
    if (first) first.classList.add('lead');
    paper.append(body);
    box.append(paper);
    place.replaceChildren(box);
    place.scrollTop = at;
  }

  // --- the form

  // keys says which fields a form has: what was typed stays where they do.
  const keys = v => v.blocks.filter(b => b.element).map(b => b.block_id + ' ' + b.element.action_id).join('\n');

  function drawForm(v) {
    if (!v) return shut();
    if (open && open.id === v.id && open.hash === v.hash) {
      Fields.blame(open.box, v.errors);
      return;
    }
    const before = open && open.id === v.id
      ? {keys: open.keys, values: Fields.values(open.box), at: document.activeElement.id} : null;
    shut();
    const box = $('form').content.firstElementChild.cloneNode(true);
    open = {box, id: v.id, hash: v.hash, keys: keys(v)};
    box.querySelector('h2').textContent = unescape(v.title.text);
    Blocks.draw(box.querySelector('.parts'), v.blocks, room, async (block, b) => {
      say(box, await send('/page/tap-view', {view: v.id, block, action: b.action_id, values: Fields.values(box)}));
    });
    Fields.put(box, before && before.keys === open.keys ? before.values : v.values);
    const [no, yes] = box.querySelectorAll('.ends button');
    no.textContent = v.close ? unescape(v.close.text) : 'Cancel';
    yes.hidden = !v.submit;
    if (v.submit) yes.textContent = unescape(v.submit.text);
    const leave = async () => say(box, await send('/page/close', {view: v.id}));
    no.addEventListener('click', leave);
    box.addEventListener('cancel', e => { e.preventDefault(); leave(); });
    box.querySelector('form').addEventListener('submit', async e => {
      e.preventDefault();
      yes.disabled = true;
      say(box, await send('/page/submit', {view: v.id, values: Fields.values(box)}));
      yes.disabled = false;
    });
    document.body.append(box);
    box.showModal();
    const was = before && before.at && $(before.at);
    if (was) was.focus();
    Fields.blame(box, v.errors);
  }

  function shut() {
    if (!open) return;
    open.box.close(); // the focus goes back to where it was
    open.box.remove();
    open = null;
  }

  // say shows in the form that something went wrong: what stands behind a
  // dialog is out of reach.
  function say(box, trouble) {
    const p = box.querySelector('.trouble');
    p.hidden = !trouble;
    p.textContent = trouble;
  }

  // --- shortcuts

  function shortcuts(list) {
    const more = $('more');
    more.hidden = !list.length;
    for (const s of list) {
      const b = node('button', '', s.name);
      b.type = 'button';
      b.addEventListener('click', () => {
        more.open = false;
        more.firstElementChild.focus();
        send('/page/shortcut', {id: s.id});
      });
      more.lastElementChild.append(b);
    }
    more.addEventListener('keydown', e => {
      if (e.key !== 'Escape' || !more.open) return;
      more.open = false;
      more.firstElementChild.focus();
    });
    document.addEventListener('click', e => { if (!more.contains(e.target)) more.open = false; });
  }

  // onMessage gives the buttons of the shortcuts on a message.
  function onMessage(list, m) {
    return list.map(s => {
      const b = node('button', 'answer', s.name);
      b.type = 'button';
      b.setAttribute('aria-label', s.name + ': ' + room.name(m.who) + ', ' + m.at);
      b.addEventListener('click', () => send('/page/shortcut', {id: s.id, ts: m.ts}));
      return b;
    });
  }

  function show(views) {
    if (!home || !views.home || home.hash !== views.home.hash) {
      home = views.home;
      drawHome();
    }
    drawForm(views.form);
  }

  function start(theRoom, theSend, sight) {
    room = theRoom;
    send = theSend;
    shortcuts(sight.shortcuts);
    show(sight.views);
  }

  return {start, show, onMessage};
})();
