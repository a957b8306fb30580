"""Every column that can hold words, once: row | columns | class | kind of keeping | end | who sees it | what for.

Pure text, read by `shop.keeping.register`. Class: person, device, words, money, history, staff, secret, none (no personal
data). Kind: which line of the plan holds (`shop.keeping.kinds`); "-" is never cleared by time. End, when its time is over
or its person is erased: blank, erased (that word stands there), delete (the row goes), keep.
"""

ROWS = """
intake.Customer | name | person | contact | erased | staff | whom a device belongs to
intake.Customer | email, phone | person | contact | blank | staff | to reach them
intake.Address | name, street | person | contact | erased | staff | where a device goes back to
intake.Address | organisation, city, area, postcode | person | contact | blank | staff | where a device goes back to
intake.Address | country | none | - | keep | staff | what post and tax it takes
intake.Device | serial, imei | device | contact | blank | staff and customer | which device it is
intake.Device | kind, make, model, colour | device | - | keep | staff and customer | what the shop learns by: models, not people
intake.Order | words, idea, before_words | words | words | blank | staff and customer | what the customer saw and thinks
intake.Order | in_the_box | words | words | blank | staff and customer | what lay in the parcel
intake.Order | inbound_tracking | person | contact | blank | staff | to find the parcel on its way in
intake.Order | salt | secret | - | blank | nobody | without it no digest in the history can be tried against a name
intake.Order | symptoms, before, cell_signs | device | - | keep | staff and customer | ticked from lists; what the shop learns by
intake.Order | code, outcome, bag, data_wish, backed_up, lock_wish, currency, form_key | none | - | keep | staff | the order itself
intake.Arrival | parcel_words, condition, contents | words | words | blank | staff and customer | how it came in
intake.Arrival | serial_read | device | contact | blank | staff | which device it is
intake.Arrival | parcel_state, serial_matches, cell_state | none | - | keep | staff | how it came in, from lists
intake.StationLine | note | words | bench | blank | staff | notes at a station
intake.StationLine | initials | staff | - | keep | staff | who signed
intake.Slip | note, end_note | words | bench | blank | staff | why an order was held
intake.Slip | reason, started_by, ended_by | staff | - | keep | staff | what held it, who wrote it
intake.Message | text | words | words | blank | staff and customer | questions and answers
intake.Message | who | person | words | erased | staff and customer | who wrote
intake.Message | form_key | none | - | keep | nobody | takes a form once
intake.Letter | to, subject, text, html, last_error | person | letters | blank | staff | what was written to the customer
intake.Letter | key, kind, message_id, from_address, unsure, state, claim | none | - | keep | staff | that it was written, and how it went
intake.LetterTry | answer | person | letters | blank | staff | what the mail server said; it repeats addresses
intake.LetterTry | result, why_again | none | - | keep | staff | how it went
intake.Photo | caption | words | photos | delete | staff and customer | what is on the photo
intake.Photo | role, sha256, original_sha256, taken_by | none | photos | delete | staff | the photo's row goes with its file
intake.Paper | key, maker, title, file_name, sha256 | none | papers | keep | staff and customer | that it was made; its file goes
intake.CustomerLink | nonce, digest | secret | - | keep | nobody | the way in, revoked when its person is erased
intake.CustomerLink | purpose | none | - | keep | nobody | what it opens
intake.Draft | answers | words | drafts | delete | customer | a request that is being filled in
intake.Draft | digest, form_key, from_address | secret | drafts | delete | nobody | to find it again, to slow machines down
intake.HistoryHead | digest | none | - | keep | owner | the end of the chain
intake.HistoryEntry | facts | history | - | keep | staff | figures, digests of names, and reasons that staff wrote; it cannot be changed
intake.HistoryEntry | who, what, previous, digest | history | - | keep | staff | the chain
intake.Letterhead | name, legal_name, street, city, area, postcode, country, email, phone, hours, tax_number, bank_account, bank_code, legal_number, card_provider, zone, locale, currency, paper_size, post_profile, terms, privacy, no_fix_words, diagnosis_words, warranty_words, storage_words, withdrawal_words, symptoms, unsure_letters | none | - | keep | staff and customer | the shop itself
intake.Person | username, first_name, last_name, email, role, initials | staff | - | keep | staff | who works here
intake.Person | password, door_mark | secret | - | keep | nobody | to sign in
quotes.BankStatement | digest, form, file_name, account, ident, currency | money | - | keep | owner | files of the shop's own account
quotes.BankLine | name, text | person | money | blank | owner | who paid, as the bank has it
quotes.BankLine | key, reference, bank_ref | money | - | keep | owner | the bank's and our own numbers
quotes.BankMatch | why | money | - | keep | owner | why a line is none of ours
quotes.CardCheckout | provider, ident, purpose, currency | money | - | keep | owner | a payment by card
quotes.CardEvent | provider, ident, kind, payload, outcome | money | - | keep | owner | what the card provider reported; no name and no card
quotes.Reading | verdict_why | words | bench | erased | staff | why a verdict was overruled
quotes.Reading | key, board, revision, side, point, state, mode, polarity, meter, special, prefix, unit, typed, expected_special, expected_from, proposed, verdict, phase | device | - | keep | staff | measurements; what the shop learns by
quotes.Finding | words, idea_words, cause | words | bench | blank | staff and customer | what was found
quotes.Finding | key, fault_class, part, place, explains, not_explained, suggested, idea_answer, mendable | device | - | keep | staff | what was found, in the shop's lists
quotes.ListWord | kind, name, folded | none | - | keep | staff | the shop's own lists
quotes.Meter | name, note | none | - | keep | staff | the shop's meters
quotes.MeterOffset | mode, why | none | - | keep | staff | the shop's meters
quotes.GoodReading | key, specimen, board, revision, point, state, mode, polarity, meter, special, prefix, unit, typed, struck_why | none | - | keep | staff | the shop's own good boards
quotes.Entry | key, what, text, document, currency, by | money | - | keep | owner | the journal: document numbers and sums, and an owner's reason for a write-off
quotes.Posting | account, kind | money | - | keep | owner | the journal
quotes.Closing | sums, digest | money | - | keep | owner | closed months
quotes.NumberSeries | kind | none | - | keep | owner | numbers of papers
quotes.Invoice | to_name | person | money | erased | staff and customer | to whom a bill goes
quotes.Invoice | to_lines, to_tax_number, to_email | person | money | blank | staff and customer | to whom a bill goes
quotes.Invoice | kind, number, key, to_country, to_kind, currency, tax_groups, why, reference | money | - | keep | staff and customer | the bill
quotes.InvoiceLine | kind, text, tax_category, tax_reason | money | - | keep | staff and customer | the bill
quotes.BillAddition | key, kind, text | money | - | keep | staff and customer | what came on top
quotes.Payment | note | words | bench | blank | staff | a note on a payment
quotes.Payment | key, kind, purpose, currency | money | - | keep | staff | money that came
quotes.WriteOff | key, currency, why | money | - | keep | owner | what was given up, and why
quotes.Dispute | key, why | money | - | keep | owner | what a bank took back, and why
quotes.Remedy | name, plain, fault_class, tax_kind, steps | none | - | keep | staff | the price book
quotes.Surcharge | name, plain, kind | none | - | keep | staff | the price book
quotes.TradeTier | name | none | - | keep | staff | the price book
quotes.Rates | tax_name, tax_percents, tax_rules, rounding, markup_bands, overrun_rule, reminder_days | none | - | keep | owner | the rates
quotes.QuoteDraft | words, deposit_words | words | bench | blank | staff | a quote that is being written
quotes.QuoteDraft | lines, choices, form_key | money | - | keep | staff | a quote that is being written
quotes.Quote | shown | words | words | blank | staff and customer | the quote as it was shown: its words go, its lines and sums stay
quotes.Quote | form_key, currency, digest | money | - | keep | staff and customer | the quote
quotes.QuoteChoice | choice, label, chance, data_words, fails_words | money | - | keep | staff and customer | what was offered
quotes.QuoteLine | choice, extra, kind, text, tax_category, tax_reason, condition, why | money | - | keep | staff and customer | what was offered
quotes.QuoteEnd | why | none | - | keep | staff | how the quote ended
quotes.Decision | typed_name | person | contact | erased | staff and customer | who said yes or no
quotes.Decision | called_number | person | contact | blank | staff | whom we spoke with
quotes.Decision | conditions | words | bench | blank | staff | what was agreed by voice
quotes.Decision | from_address, agent | person | senders | blank | nobody | from where the answer came, as digest; with which browser
quotes.Decision | choice, channel, digest, currency, button, consents, consent_texts, extras | money | - | keep | staff and customer | what was agreed
quotes.DecisionStop | who | none | - | keep | staff | that it was stopped
quotes.Part | number, name, fits, bin, condition, tax_kind | none | - | keep | staff | the stockroom
quotes.Lot | number, supplier, marks, stopped_why | none | - | keep | staff | the stockroom
quotes.Move | key, kind, who, why | staff | - | keep | staff | the stockroom's book
quotes.TradeAccount | tax_number, certificate | person | contact | blank | owner | a trade customer's tax
quotes.Statement | shown | person | money | blank | owner | a month's statement: name and address go, its lines and sums stay
quotes.Statement | number, currency | money | - | keep | owner | a month's statement
shop.WorkSession | note | words | bench | blank | staff | a note on minutes
shop.WorkSession | mended_why | words | bench | erased | staff | why minutes were mended
shop.WorkSession | kind | none | - | keep | staff | what the minutes were for
shop.StationDraft | fields | words | bench | blank | staff | what is being written at a station
shop.RepairStep | text | words | bench | erased | staff | steps of the repair
shop.RepairStep | key | none | - | keep | staff | takes a step once
shop.TestSheet | device_kind, rows | none | - | keep | staff | the test lists
shop.TestRow | reason | words | bench | erased | staff | why something was not tested
shop.TestRow | text, point, mode, polarity, unit, result, reading | device | - | keep | staff | what was tested
shop.BookLine | currency, family, fault, remedy, idea, outcome, cause, answer, choice, channel | none | - | keep | owner | the books, from lists
shop.BookDay | currency, facet, word | none | - | keep | owner | the books, from lists
shop.ShopHours | week, country, region, closed | none | - | keep | owner | opening hours
shop.ReadKey | name, digest | secret | - | keep | nobody | keys of programs that read the books
shop.BookReport | month, figures | none | - | keep | owner | the books
shop.DataCopy | listing, sample | words | words | blank | staff | names of the files that were copied
shop.DataCopy | medium, deleted_how | words | bench | erased | staff | on what it was copied, how it was deleted
shop.DataCopy | key, listing_sha256 | none | - | keep | staff | the digest of the list
shop.ComebackCause | words | words | bench | erased | staff | why it came back
shop.ComebackCause | key, cause | none | - | keep | staff | why it came back, from a list
shop.OwnDamage | words, offered | words | bench | erased | staff and customer | what we damaged
shop.OwnDamage | key | none | - | keep | staff | takes it once
shop.SlipEnd | words | words | bench | erased | staff | how a hold ended
shop.SlipEnd | how | none | - | keep | staff | how a hold ended, from a list
shop.BagCount | key, expected, found, missing, extra, note | none | - | keep | staff | bags on the shelf
shop.SecondFactor | key_name, sealed | secret | - | keep | nobody | to sign in
shop.RecoveryCode | digest | secret | - | keep | nobody | to sign in
shop.KnownBrowser | digest | secret | - | keep | nobody | to sign in
shop.SignInTry | name_digest, sender | secret | tries | delete | nobody | to slow guessing down; digests only
shop.SignInTry | result | staff | tries | delete | owner | how it ended
shop.RetentionPlan | days, basis | none | - | keep | owner | how long things are kept
shop.Erasure | by, why, blanked, kept | none | - | keep | owner | that somebody was erased: kinds and counts
shop.Sight | what | staff | sights | delete | owner | who saw what
shop.PhotoMark | words | words | photos | delete | staff and customer | what is on the photo
shop.PhotoMark | key, kind | none | photos | delete | staff | goes with its photo
shop.PhonePass | digest, role | secret | - | keep | nobody | lets a phone at the bench add photos
shop.Parcel | tracking | person | contact | blank | staff and customer | to find the parcel on its way home
shop.Parcel | contents | words | words | blank | staff and customer | what lay in the parcel home
shop.Parcel | key, carrier, tracking_scheme | none | - | keep | staff | how it went
shop.Override | reason | words | bench | erased | owner | why it went unpaid
shop.Warranty | covers | none | - | keep | staff and customer | what the warranty covers
shop.WipeRecord | method | none | - | keep | staff | how data was wiped
shop.Cost | what | words | bench | erased | owner | what it cost beside
shop.Cost | key | none | - | keep | owner | takes it once
shop.ClockMark | name, fault | none | - | keep | owner | how clock work went
shop.BackupSet | name, why, state, sha256, said | none | - | keep | owner | backups
shop.RestoreDrill | state, said | none | - | keep | owner | backups
shop.UnlockCode | sealed | secret | codes | blank | staff, for a minute and with a reason | to test a locked device
shop.UnlockCode | shape, key_name, given_by, erased_why | none | - | keep | staff | that there was a code
shop.CodeShowing | reason | words | bench | erased | staff and customer | why a code was looked at
auth.Permission | name, codename | none | - | keep | nobody | of the framework
auth.Group | name | none | - | keep | nobody | of the framework
contenttypes.ContentType | app_label, model | none | - | keep | nobody | of the framework
sessions.Session | session_key, session_data | secret | - | keep | nobody | who is signed in, and what staff were sending when that ended; a week at most, then the night clears it
"""
