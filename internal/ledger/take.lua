-- take leases the lane that has been available longest.
--
-- KEYS: lanes, leases. The outbox's key is made here, from the lane that was
-- found; it has the same hash tag.
-- ARGV: microseconds the ledger is ahead of its clock, token, length of the
-- lease in microseconds, what an outbox's key begins with.

local lanes, leases = unpack(KEYS)
local ahead, token, lease, outboxes = unpack(ARGV)
local bad = wrong({{lanes, 'zset'}, {leases, 'hash'}})
if bad then return bad end

local now = clock()
local at = now + tonumber(ahead)
local unread = ''
for _, lane in ipairs(redis.call('ZRANGEBYSCORE', lanes, '-inf', whole(at), 'LIMIT', 0, LOOK)) do
  local _, to, n = string.find(lane, '^(%d+):')
  local items, why = nil, 'broken'
  if to then
    local kitchen = string.sub(lane, to + 1, to + tonumber(n))
    items, why = waiting(outboxes .. kitchen, string.sub(lane, to + tonumber(n) + 1))
  end
  if not items then
    unread = why
  elseif #items == 0 then
    redis.call('ZREM', lanes, lane)
    redis.call('HDEL', leases, lane)
  else
    -- A lease that was never given back: its runner may have died in it.
    local lost = redis.call('HEXISTS', leases, lane)
    redis.call('HSET', leases, lane, token)
    redis.call('ZADD', lanes, whole(at + tonumber(lease)), lane)
    return {'lane', whole(now), lane, items, lost}
  end
end
local first = redis.call('ZRANGE', lanes, 0, 0, 'WITHSCORES')
return {'none', whole(now), first[2] or '', unread}
