SELECT number, name, bin, on_hand - reserved, reorder_at FROM part
WHERE active AND reorder_at > 0 AND on_hand - reserved <= reorder_at;
