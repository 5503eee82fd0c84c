-- What the scripts share. The limits and the version stand before this text.

-- clock reads the ledger's clock, in microseconds.
local function clock()
  local t = redis.call('TIME')
  return tonumber(t[1]) * 1000000 + tonumber(t[2])
end

-- whole writes a number out: left to itself, Lua keeps 14 digits of 16.
local function whole(n)
  return string.format('%.0f', n)
end

-- member joins a kitchen and a lane, as the Go side does.
local function member(kitchen, lane)
  return whole(#kitchen) .. ':' .. kitchen .. lane
end

-- head gives what stands in plain digits before an item's body: its version,
-- its Seq (20 digits, so that they compare as text) and its lane; or nothing.
local function head(item)
  local _, to, v, seq, n = string.find(item, '^(%d+) (%d+) (%d+) ')
  if not to then return nil end
  return tonumber(v), seq, string.sub(item, to + 1, to + tonumber(n))
end

-- newer says whether a newer program wrote an item.
local function newer(item)
  local v = item and head(item)
  return v and v > VERSION
end

-- wrong gives a key that holds another type than it should; or nothing. It is
-- asked before the first write, since a script that fails later keeps what it
-- has written.
local function wrong(types)
  for _, t in ipairs(types) do
    local is = redis.call('TYPE', t[1]).ok
    if is ~= t[2] and is ~= 'none' then
      return {'type', t[1], is, t[2]}
    end
  end
  return nil
end

-- waiting gives a lane's items out of a kitchen's outbox; or nil and why this
-- program can't read them.
local function waiting(outbox, lane)
  if wrong({{outbox, 'hash'}}) then return nil, 'broken' end
  local found = {}
  for _, item in ipairs(redis.call('HVALS', outbox)) do
    local v, _, l = head(item)
    if not v then return nil, 'broken' end
    if l == lane then
      if v > VERSION then return nil, 'newer' end
      found[#found + 1] = item
    end
  end
  return found
end
