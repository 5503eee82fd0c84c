'use strict';
// The practice page: shows what stands in the room and sends what is typed and
// tapped. Everything it knows came with the page; the feed brings what changes.

const {node, unescape, paragraphs} = Markup;
const sight = JSON.parse(document.getElementById('sight').textContent);
const $ = id => document.getElementById(id);
const names = new Map([...sight.people, ...sight.channels].map(x => [x.id, x.name]));
const room = {
  me: sight.me,
  zone: sight.zone === 'Local' ? undefined : sight.zone,
  name: id => names.get(id) || id,
};
const messages = new Map(); // by ts
const unread = new Map(); // by channel
const wanted = new URLSearchParams(location.hash.slice(1)).get('in');
let here = (sight.channels.find(c => c.id === wanted) || sight.channels[0] || {id: ''}).id;
let answering = '';

// --- what stands

function mentionsMe(m) {
  return m.who !== room.me && JSON.stringify([m.text, m.blocks || []]).includes('<@' + room.me);
}

function ticket(m) {
  const bot = m.who === sight.bot;
  const box = node('article', 'slip ' + (bot ? 'ticket' : 'tape'));
  box.dataset.ts = m.ts;
  if (m.who === room.me) box.classList.add('own');
  if (m.private) box.classList.add('private');
  if (mentionsMe(m)) box.classList.add('forme');

  const paper = node('div', 'paper');
  paper.append(head(m));
  const body = node('div', 'body');
  if (m.blocks && m.blocks.length) m.blocks.forEach(b => block(body, b, m));
  else paragraphs(body, {type: 'mrkdwn', text: m.text}, room);
  const first = body.querySelector('h2, p');
  if (bot && first) first.classList.add('lead');
  paper.append(body);
  box.append(paper);
  const replies = node('div', 'replies');
  box.append(replies);
  return box;
}

function head(m) {
  const top = node('div', 'head');
  top.append(node('b', 'name', m.who === room.me ? room.name(m.who) + ' (you)' : room.name(m.who)));
  top.append(node('span', 'at', m.at));
  if (m.edits) top.append(node('span', 'edited', 'changed ' + m.edited));
  if (mentionsMe(m)) top.append(node('span', 'stamp', 'For you'));
  if (m.private) top.append(node('span', 'stamp only', 'Only you see this'));
  if (m.who === sight.bot && !m.private) {
    const b = node('button', 'answer', 'Answer');
    b.type = 'button';
    b.setAttribute('aria-label', 'Answer ' + room.name(m.who) + ', ' + m.at);
    b.addEventListener('click', () => answer(m.thread || m.ts));
    top.append(b);
  }
  return top;
}

function block(body, b, m) {
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
      if (b.accessory) body.append(buttons(b.block_id, [b.accessory], m));
      break;
    }
    case 'actions': body.append(buttons(b.block_id, b.elements, m)); break;
  }
}

function buttons(blockID, list, m) {
  const row = node('div', 'buttons');
  for (const b of list) {
    const key = node('button', {primary: 'main', danger: 'danger'}[b.style] || '', unescape(b.text.text));
    key.type = 'button';
    if (b.accessibility_label) key.setAttribute('aria-label', b.accessibility_label);
    key.addEventListener('click', () => tap(key, row, blockID, b, m));
    row.append(key);
  }
  return row;
}

// hang puts a message where it belongs: into the log or under its parent, in
// place of what hung there before.
function hang(m) {
  const before = messages.get(m.ts);
  messages.set(m.ts, m);
  if (m.channel !== here) return null;
  const old = $('log').querySelector(`[data-ts="${m.ts}"]`);
  if (m.gone) {
    messages.delete(m.ts);
    if (old) old.remove();
    return null;
  }
  const fresh = ticket(m);
  if (old) {
    fresh.querySelector('.replies').replaceWith(old.querySelector('.replies'));
    old.replaceWith(fresh);
    if (before) fresh.classList.add('moved');
    return fresh;
  }
  const parent = m.thread && $('log').querySelector(`[data-ts="${m.thread}"] > .replies`);
  (parent || $('log')).append(fresh);
  return fresh;
}

function redraw() {
  $('log').replaceChildren();
  const list = [...messages.values()].filter(m => m.channel === here);
  if (!list.length) {
    const bare = node('p', 'bare');
    Markup.draw(bare, 'Nothing on the rail yet.\nType `' + sight.command + ' help`, or write to *@' + room.name(sight.bot) + '*.', room);
    $('log').append(bare);
  }
  list.forEach(hang);
  places();
  toEnd();
}

// --- where and who

function places() {
  $('places').replaceChildren(...sight.channels.map(c => {
    const label = c.direct ? 'Direct' : '#' + c.name;
    const b = node('button', '', label);
    b.type = 'button';
    const n = unread.get(c.id) || 0;
    if (n) b.append(node('span', 'count', n + ' new'));
    if (c.id === here) b.setAttribute('aria-current', 'page');
    b.addEventListener('click', () => go(c.id));
    return b;
  }));
}

function go(id) {
  here = id;
  unread.delete(id);
  history.replaceState(null, '', '#in=' + id);
  answer('');
  redraw();
}

function people() {
  for (const p of sight.people) {
    if (p.id === sight.bot) continue;
    const o = node('option', '', p.name);
    o.value = p.id;
    o.selected = p.id === room.me;
    $('who').append(o);
  }
  $('who').addEventListener('change', () => { location.href = '/?as=' + $('who').value; });
}

function answer(ts) {
  answering = ts;
  $('answering').hidden = !ts;
  const m = messages.get(ts);
  if (m) {
    $('answering').firstElementChild.textContent = 'Answering ' + room.name(m.who) + ', ' + m.at;
    $('line').focus();
  }
}

// --- the end of the log

const log = $('log');
const atEnd = () => log.scrollHeight - log.scrollTop - log.clientHeight < 120;
function toEnd() {
  log.scrollTop = log.scrollHeight;
  $('below').hidden = true;
}
log.addEventListener('scroll', () => { if (atEnd()) $('below').hidden = true; });
$('below').addEventListener('click', toEnd);

// --- what is typed and tapped

async function send(path, what) {
  try {
    const resp = await fetch(path, {
      method: 'POST',
      headers: {'Content-Type': 'application/json'},
      body: JSON.stringify({as: room.me, channel: here, ...what}),
    });
    const out = await resp.json();
    trouble(out.error);
    return resp.ok;
  } catch {
    trouble('the practice room is not reachable');
    return false;
  }
}

function trouble(text) {
  $('trouble').hidden = !text;
  $('trouble').textContent = text ? text[0].toUpperCase() + text.slice(1) + '.' : '';
}

$('say').addEventListener('submit', async e => {
  e.preventDefault();
  const text = $('line').value.trim();
  if (!text) return;
  $('line').value = '';
  const ok = await send('/page/say', {text, thread: answering});
  if (!ok && !$('line').value) $('line').value = text;
  toEnd();
});
$('answering').querySelector('button').addEventListener('click', () => answer(''));

async function tap(key, row, blockID, b, m) {
  if (b.confirm && !await sure(b.confirm, b.style)) return;
  const all = [...row.children];
  all.forEach(k => { k.disabled = true; });
  key.classList.add('sent');
  await send('/page/tap', {ts: m.ts, block: blockID, action: b.action_id});
  all.forEach(k => { k.disabled = false; });
  key.classList.remove('sent');
}

// sure asks what the button wants asked first, in a dialog of its own.
function sure(c, style) {
  const box = $('sure').content.firstElementChild.cloneNode(true);
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

// --- what changes

function listen() {
  const feed = new EventSource('/page/feed?as=' + room.me + '&seen=' + sight.seen);
  feed.addEventListener('message', e => {
    const m = JSON.parse(e.data);
    const stay = atEnd();
    const bare = log.querySelector('.bare');
    if (bare && m.channel === here) bare.remove();
    const fresh = !messages.has(m.ts);
    const slip = hang(m);
    if (m.channel !== here && fresh && !m.gone && m.who !== room.me) {
      unread.set(m.channel, (unread.get(m.channel) || 0) + 1);
      places();
    }
    if (!slip) return;
    if (fresh) slip.classList.add('fresh');
    if (stay) toEnd();
    else if (fresh) $('below').hidden = false;
  });
  feed.addEventListener('clock', e => { $('clock').textContent = JSON.parse(e.data); });
  feed.addEventListener('open', () => document.body.classList.remove('cut'));
  feed.addEventListener('error', () => {
    document.body.classList.add('cut');
    // A room that was started anew knows nothing of what we have seen.
    if (feed.readyState === EventSource.CLOSED) setTimeout(() => location.reload(), 2000);
  });
}

sight.messages.forEach(m => messages.set(m.ts, m));
$('clock').textContent = sight.clock;
$('line').placeholder = sight.command + ' help';
people();
redraw();
listen();
