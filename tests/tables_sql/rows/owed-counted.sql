SELECT SUBSTR(at, 1, 10), (SELECT number FROM part WHERE part.id = part_id), why, on_hand_change,
  -CAST(ROUND(unit_cost * on_hand_change * 100) AS INTEGER)
FROM move, p WHERE kind = 'count' AND order_id IS NULL AND strftime('%s', at) + 0 >= since AND strftime('%s', at) + 0 < until;
