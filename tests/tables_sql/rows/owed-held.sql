SELECT (SELECT code FROM orders WHERE orders.id = payment.order_id), dispute.answer_by, CAST(ROUND(dispute.amount * 100) AS INTEGER)
FROM dispute JOIN payment ON payment.id = dispute.payment_id
WHERE dispute.id NOT IN (SELECT dispute_id FROM disputeend);
