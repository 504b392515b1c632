// en: the English words. A language is one file like this.

export const EN = {
  // what is marked
  'kind.mid': 'Mid-length', 'kind.mid.help': 'Even hair half-way down, without shine or gaps. Start here: the other zones are compared with it.',
  'kind.root': 'Root', 'kind.root.help': 'The first centimetres at the scalp, away from the parting’s skin.',
  'kind.gray': 'Gray', 'kind.gray.help': 'Where gray shows most, for example a temple. One zone for each place.',
  'kind.ends': 'Ends', 'kind.ends.help': 'The last part of the lengths, where the wefts must blend.',
  'kind.swatch': 'Swatch', 'kind.swatch.help': 'A swatch of yours held in the photo, best touching a zone. Two or three help most.',
  'kind.card': 'Card', 'kind.card.help': 'A flat card of known colour, such as a gray card, in the same light.',
  'kind.target': 'Target', 'kind.target.help': 'Drag from its first patch to the opposite one, then pull the corners onto the centres of the corner patches.',
  'zone.named': '{title} ‘{name}’',
  'mode.rect': 'Rectangle.', 'mode.polygon': 'Polygon.', 'mode.move': 'Move.',

  // steps of the history, and what is said of them
  'step.added': '{zone} added', 'step.deleted': '{zone} deleted', 'step.moved': '{zone} moved', 'step.changed': '{zone} changed',
  'step.renamed': '{zone} renamed', 'step.kind': 'kind of {zone} changed', 'step.loaded': 'zones file loaded',
  'say.kind': '{title}: {help}', 'say.undone': 'Undone: {label}.', 'say.redone': 'Done again: {label}.',
  'say.nothing_to_undo': 'There is nothing to undo.', 'say.nothing_to_redo': 'There is nothing to redo.',
  'say.added': '{zone} added, {width} by {height} pixels.', 'say.next': 'Next: {title}.', 'say.deleted': '{zone} deleted. Undo brings it back.',
  'say.point': 'Point {n} set.', 'say.points_needed': '{needed} points are needed; {n} set so far.',
  'say.points_left': { one: '{n} point left.', other: '{n} points left.' }, 'say.cancelled': 'Drawing cancelled.',
  'say.corner': 'First corner at {x}, {y}. Move to the opposite corner and press Enter.', 'say.line_not_box': 'That is a line, not a box. Move on and press Enter.',
  'say.selected': '{zone} selected. Arrows push it, Enter opens its details.', 'say.no_zone': 'No zone here.', 'say.select_first': 'Select a zone first.',
  'say.handle': 'Corner {i} of {n}, at {at}.', 'say.line': 'That was a line. Draw around the hair, or click point by point.',

  // an area of the photo
  'area.target_bright': 'Too bright: {share} of the target is blown out and can’t be measured.',
  'area.bright': 'Too bright: {share} is blown out. Choose a spot without shine.', 'area.dark': 'Too dark: {share} is black. Choose a lit spot.',
  'area.card_uneven': 'Uneven light on the card: {share} from side to side. Choose its even middle.',
  'area.skin': 'Mixed: {share} looks like skin. Keep to hair.', 'area.mixed': 'Mixed: lightness varies by ±{spread}. Leave out edges, shadow and background.',

  // what must be mended
  'problem.no_hair': 'No hair is marked yet: mark at least one of mid-length, root, gray or ends.',
  'problem.empty': 'this shape is empty; draw it again.', 'problem.outside': 'it reaches outside the photo; move it inside.',
  'problem.large': 'it spans more than 16 megapixels; draw it smaller.', 'problem.corners': 'its corners cross or bend inwards; pull each onto its corner patch.',
  'problem.crosses': 'its outline crosses itself; move a corner or draw it again.', 'problem.thin': 'it is too thin to hold a pixel; draw it larger.',
  'problem.patches': 'not every patch holds a pixel of the photo; check corners, rows and columns.', 'problem.name_long': 'its name is too long; shorten it.',
  'problem.name_control': 'its name holds a control character; type it again.', 'problem.twin': 'another zone is called ‘{name}’ too; rename one.',
  'problem.grid': 'the numbers of rows and columns must be whole, from 2 to 100.', 'problem.reference': 'it has no reference; type the name of its reference file.',
  'problem.no_code': 'it has no code; choose which swatch this is.', 'problem.unknown_code': '‘{code}’ is not in the catalogue; choose one from the list.',
  'problem.at': 'it is held at ‘{at}’, which is not marked; choose another zone.', 'problem.lab': 'its colour needs L* from 0 to 100 and a*, b* from −128 to 127.',
  'hint.small': '{zone} is small: under 1000 pixels no gray share can be told.', 'hint.covers': '{aid} covers part of {zone} and would count as hair: draw the two apart.',
  'hint.no_mid': 'Mark a mid-length zone without gray too: gray is told against it.',
  'hint.gray_free': 'If a mid-length zone has no gray hair, tick that in its details: the gray share becomes more certain.',
  'hint.no_aid': 'Nothing of known colour is marked: the colours will be rough. A swatch held at the hair helps most.',

  // the zones file
  'file.broken': 'This is not a zones file: {why}.', 'file.no_zones': 'This is not a zones file: it has no list “zones”.',
  'file.format': 'This zones file has format {format}; this page reads format 1.',
  'file.other_photo': 'The file was made for ‘{photo}’; check that every zone lies where it should.', 'file.kept': 'Kept as they are: {keys}.',
  'file.kept_in': 'Kept as they are in zone {n}: {keys}.', 'file.zone': 'Zone {n} in the file: {text}', 'file.zone_named': 'Zone {n} (‘{name}’) in the file: {text}',
  'file.kind': 'unknown kind {kind}.', 'file.field': '“{key}” must be {want}.', 'file.want.text': 'text', 'file.want.boolean': 'true or false', 'file.want.number': 'a number',
  'file.want.lab': 'three numbers', 'file.want.place': 'side, back, crown or nape', 'file.want.rect': 'four numbers: x, y, width, height', 'file.want.polygon': 'three or more points [x, y]',
  'file.want.corners': 'four points [x, y]', 'file.shapes': 'it needs exactly one of “rect”, “polygon” and “corners”.', 'file.target': 'a target needs “corners”.',
  'file.corners': '“corners” are for a target only.',

  // the list and its forms
  'list.title': 'Marked', 'list.count': ' marked', 'list.none': 'Nothing yet. Drag a box over even hair in the photo, half-way down.', 'list.delete': 'Delete',
  'list.delete_zone': 'Delete {zone}', 'list.patches': '{rows} rows of {columns} patches', 'list.outside': 'outside the photo', 'list.spread': 'spread\u00a0{spread}',
  'list.held': 'held at {at}', 'list.problems': 'To put right before saving', 'list.hints': 'Advice',
  'picker.label': 'Swatches', 'picker.none': 'No swatch of the catalogue fits.', 'picker.bead': '(bead)',
  'form.look': 'Look closer', 'form.name': 'Name', 'form.name_optional': 'Name (optional)', 'form.kind': 'Kind', 'form.gray_free': 'No gray hair in this area', 'form.is_hair': 'This is hair',
  'form.code': 'Which swatch', 'form.code_hint': 'Type the code or part of the name.', 'form.code_free': 'The code in your catalogue, exactly as written there.',
  'form.code_near': 'The nearest in colour come first: check against the swatch itself.',
  'form.at': 'Held at', 'form.at_hint': 'The zone whose hair it touches.', 'form.at_none': 'not at a zone', 'form.at_gone': '{name} (not marked)',
  'form.place': 'Where on the head', 'form.place_usual': 'as usual: {place}', 'place.side': 'side', 'place.back': 'back', 'place.crown': 'crown', 'place.nape': 'nape',
  'form.lab_hint': 'The card’s own colour as its maker states it (CIELAB, D50). The usual 18 % gray card is 50, 0, 0.',
  'form.card': 'Which card', 'card.gray': 'gray card, 18 %', 'card.paper': 'white paper', 'card.other': 'another one',
  'form.reference': 'Reference file', 'form.reference_hint': 'Its CGATS file, beside the zones file, for example target.txt.', 'form.rows': 'Rows', 'form.columns': 'Columns',
  'form.target_hint': 'The ring is the patch that the reference lists first; its row runs on to the next corner. The small boxes are what is measured.',
  'form.turn': 'Start at the next corner', 'form.left': 'Left', 'form.top': 'Top', 'form.width': 'Width', 'form.height': 'Height',

  // around the photo
  'work.title': 'Photo', 'work.kinds': 'What to mark next, in the order that works best', 'work.stage': 'Photo',
  'work.help': 'Arrow keys move a cross-hair over the photo, Enter sets a corner. All keys are listed under Keys.', 'work.opening': 'Opening the photo …',
  'work.draws': 'Pointer draws', 'work.rect': 'Rectangle', 'work.polygon': 'Polygon', 'work.move': 'Move', 'work.zoom': 'Zoom', 'work.zoom_out': 'Zoom out',
  'work.zoom_in': 'Zoom in', 'work.fit': 'Fit', 'work.fit_label': 'Fit the whole photo', 'work.history': 'History', 'work.undo': 'Undo', 'work.redo': 'Redo',
  'work.draft': 'Polygon being drawn', 'work.close': 'Close shape', 'work.back': 'Point back', 'work.cancel': 'Cancel',

  // keys
  'keys.title': 'Keys', 'keys.when': 'While the photo has the focus:', 'keys.kind': 'kind, as numbered above', 'keys.mode': 'rectangle, polygon, move',
  'keys.arrows': 'arrows', 'keys.arrows_do': 'cross-hair; with Shift one pixel',
  'keys.enter': 'sets a corner or point; on the first point it closes the polygon; in Move it selects', 'keys.c': 'closes the polygon', 'keys.backspace': 'last point back',
  'keys.arrows_move': 'arrows in Move', 'keys.push': 'push the selected zone, or its corner chosen by [ ]', 'keys.delete': 'removes the selected zone',
  'keys.zoom': 'zoom in, out, whole photo', 'keys.esc': 'cancels; deselects; in a field, back to the photo', 'keys.undo': 'undo, redo, anywhere outside a text field',
  'keys.pointer': 'Mouse: the wheel zooms, the middle button or Space and drag moves the photo. Touch: two fingers zoom and move it. In Polygon, tap point by point or draw around the hair in one go.',

  // the marking page
  'mark.pixels': '{width} × {height} pixels', 'mark.no_picture': 'The picture inside this page cannot be shown. Make the page again with “mark”.',
  'mark.given': 'The zones file given to “mark” is loaded.', 'mark.copied': 'Command copied.', 'mark.no_copy': 'Copying is not allowed here: select the command and copy it by hand.',
  'mark.not_saved': { one: 'Not saved: one thing to put right first, listed above.', other: 'Not saved: {n} things to put right first, listed above.' },
  'mark.not_saved_why': 'Not saved. {why}', 'mark.saved': '{file} is saved where your browser keeps downloads. Run the command below.',
  'mark.large': '{file} is too large for a zones file.', 'mark.loaded': '{file} is loaded.', 'mark.undo_brings': 'Undo brings back what was there.',
  'mark.nothing_changed': '{why} Nothing was changed.',

  // the desk: everywhere
  'desk.skip': 'To the page', 'desk.screens': 'Screens', 'desk.cancel': 'Cancel', 'desk.trouble': 'Something could not be shown',
  'desk.gone': 'The desk does not answer. Start it again with “weftmatch desk” and open the address it prints; nothing that was saved is lost.',
  'desk.bug': 'Something went wrong in the page itself. Load it again; nothing that was saved is lost.',
  'nav.today': 'Today', 'nav.catalogue': 'Catalogue', 'nav.orders': 'Orders', 'nav.salon': 'Salon',

  // today
  'today.opening': 'Opening the photo …', 'today.drop': 'Photo of a client', 'today.drop_hint': 'Drop it here, or press to choose one or to use the camera. JPEG, PNG or HEIC, the original file.',
  'today.arrived': 'New photos', 'today.due': 'Move-ups', 'today.due_none': 'No move-up is planned', 'today.due_none_text': 'Give the arc of the row at a consultation, and its move-ups appear here once the visit is saved.',
  'today.last': 'Here last', 'today.last_none': 'No visit yet', 'today.last_none_text': 'Begin with a photo above; saving it makes the first visit.',
  'today.clients': 'Clients', 'today.find': 'Find a client', 'today.find_hint': 'Name, or part of it',
  'today.visits': { one: '{n} visit, {date}', other: '{n} visits, the last {date}' }, 'today.no_visit': 'no visit yet',
  'today.nobody': 'Nobody is called “{name}”.', 'today.nobody_yet': 'Nobody yet. A client is added here, or when her first visit is saved.', 'today.new': 'New client', 'today.add': 'Add', 'today.import': 'Load a client’s file',
  'first.title': 'Three steps to the first match', 'first.done': '(done)',
  'first.catalogue': 'Your swatches', 'first.catalogue_text': 'Photograph your swatch ring beside a gray card or white paper, or load a price list.', 'first.catalogue_do': 'Make the catalogue',
  'first.fees': 'Your fees', 'first.fees_text': 'What sewing a row costs, tax and currency, for a price on every answer.', 'first.fees_do': 'Set fees',
  'first.photo': 'The first client’s photo', 'first.photo_text': 'In daylight, hair dry, a swatch held at each zone: drop the photo below.',

  // the consultation
  'consult.title': 'Consultation: {file}', 'consult.no_picture': 'The picture cannot be shown. Go back and open it again.',
  'consult.start': 'Mark hair in the photo, and the answer appears here.',
  'consult.start_1': 'Drag a box over even hair half-way down, then root, gray and ends.', 'consult.start_2': 'Drag a box over each swatch in the photo and say which it is.', 'consult.start_3': 'Read the answer as you go. Drag a box by its middle or corners to change it.',
  'consult.no_catalogue': 'There is no catalogue yet, so only the hair is measured: no shade can be named.', 'consult.old': 'Use the marks from her last visit', 'consult.old_step': 'marks of the last visit',
  'answer.title': 'Answer', 'answer.promise': 'How far this photo can be trusted', 'answer.sew': 'What to sew', 'answer.hold': 'Hold these to her hair', 'answer.why': 'Why', 'answer.takes': 'What it takes',
  'answer.since': 'Since her last visit', 'answer.zones': 'Her hair', 'answer.grayer': 'When she gets grayer', 'answer.cautions': 'Take care',
  'claim.name': 'Good enough to name the shade. Hold it to her hair before you order.', 'claim.runner_up': 'Good enough for the shade and its runner-up: hold both to her hair.',
  'claim.three': 'Good enough for a short list of three: hold them to her hair.', 'claim.five': 'Good enough for a short list of five: hold them to her hair.',
  'claim.rough': 'A rough idea only, not enough to order from.', 'claim.none': 'Nothing could be measured.', 'claim.dropped': '{zone} was not used: {why}.',
  'verdict.match': 'A match', 'verdict.close': 'Close', 'verdict.visible': 'The difference can be seen', 'verdict.far': 'Far off',
  'sew.front': 'front', 'sew.middle': 'middle', 'sew.back': 'back', 'sew.pieces': { one: '{code} with a piece of {second}', other: '{code} with {n} pieces of {second}' }, 'sew.pieces_long': { one: '{code} with a piece of {second}, {length}', other: '{code} with {n} pieces of {second}, {length} each' },
  'sew.down': 'worn down', 'sew.up': 'worn up', 'sew.end': 'at {zone}', 'sew.row': 'Row {n}', 'sew.long': '{length}', 'sew.each_long': '{length} each', 'where.side': 'at the side', 'where.sides': 'at both sides', 'where.back': 'at the back', 'where.crown': 'at the crown', 'where.nape': 'at the nape', 'sew.rough': 'Take this as a direction, and take a photo with a swatch at each zone before you order.',
  'sew.p': 'Chance of a match {match}, of close or better {close}.',
  'hold.show': 'See it on her hair', 'hold.own': 'her hair', 'hold.drawing': 'A drawing in the light of this photo, not a photo: hold the swatch itself to her hair.',
  'hold.base': 'For her own colour', 'hold.gray': 'For the gray', 'hold.blend': 'One shade for both', 'why.assumed': 'To be told more, add {what}.', 'why.stability': 'With the marks moved a little, the same shades come out in {held} of {tries} tries.', 'why.simpler': 'The next simpler way', 'zone.refused': 'could not be measured',
  'gray.share': '{share} gray, ± {u}', 'gray.not measured': 'gray not measured', 'gray.not resolved': 'gray can’t be told here', 'gray.none seen': 'no gray seen', 'gray.low': 'hardly any gray', 'gray.measured': 'gray', 'gray.all over': 'gray all over',
  'takes.no_arc': 'Measure from ear to ear where the row will lie and give it below her wishes: packs, beads, price and dates follow.',
  'takes.grams': 'Hair sewn in', 'takes.short': 'Short of what she wants by', 'takes.packs': 'Packs of {code}', 'takes.packs_order': '{n}, {order} to order', 'takes.packs_stock': '{n}, in stock', 'takes.beads': 'Beads', 'takes.beads_n': '{n} and {reserve} in reserve',
  'takes.price': 'Price', 'takes.price_part': 'Price, as far as known', 'takes.moveup': 'First move-up', 'takes.steps': 'Work list', 'since.date': 'Compared with {date}.', 'grayer.at': 'At {share} gray:',
  'wish.title': 'Her wishes', 'wish.effect': 'Was {before}; now {now}.', 'wish.no_effect': 'That changes neither shades nor price.', 'wish.more': 'More', 'wish.goal': 'What it is for', 'wish.goal.volume': 'volume', 'wish.goal.length': 'length', 'wish.goal.coverage': 'gray covered',
  'wish.worn': 'She wears it', 'wish.worn.both': 'both ways', 'wish.worn.down': 'down', 'wish.worn.up': 'up',
  'wish.arc': 'Row from ear to ear', 'wish.arc_hint': 'For two rows enter both: 29; 27', 'wish.natural-length': 'Her own length', 'wish.to-length': 'Wanted length',
  'wish.hair': 'Single hairs', 'wish.hair.fine': 'fine', 'wish.hair.medium': 'medium', 'wish.hair.coarse': 'coarse',
  'wish.amount': 'How much hair', 'wish.amount.thin': 'thin', 'wish.amount.average': 'average', 'wish.amount.thick': 'thick',
  'wish.shedding': 'She is losing hair', 'wish.in-stock': 'Only shades in stock', 'wish.max-price': 'A pack at most', 'wish.color-line': 'Regrowth line from the scalp', 'wish.cover': 'Row below the parting',
  'save.client': 'Client', 'save.save': 'Save visit', 'save.new_client': 'A new client: saving makes her file.', 'save.saved': 'Saved in {name}’s file.', 'save.open': 'Open her file',
  'save.again': 'Save it once more', 'noticed.day_to_come': 'If that is wrong, change the day in her file under “Record what was done”.', 'noticed.day_before_last': 'If that is wrong, change the day in her file under “Record what was done”.',
  'noticed.photo_of_another_day': 'If the photo’s day is right, save and change the day in her file under “Record what was done”.', 'noticed.hair_jumped': 'If it is another client’s photo, change the name above.', 'record.day': 'Day of the visit',
  'client.merge': 'The same client has a second file', 'client.merge_hint': 'Choose the file that stays.', 'client.merge_do': 'Put together', 'client.merge_title': 'Put {from} and {into} together?', 'client.merge_text': 'All visits of {from} go to the file of {into}; the file of {from} is gone then. It can be taken back.', 'client.merged': 'The visits of {from} are in the file of {into}.',
  'paper.report': 'Your report', 'paper.client': 'Page for the client', 'paper.client_in': 'Page for the client, in {language}', 'paper.calendar': 'Dates for the calendar',

  // a client
  'client.since': { one: 'since {date}, {n} visit', other: 'since {date}, {n} visits' }, 'client.drop': 'New photo of her', 'client.visits': 'Visits', 'client.no_visit': 'No visit yet',
  'client.no_visit_text': 'Open a photo above, mark it and save.', 'client.visit': 'visit {id}, {photo}', 'client.before': 'Photo of the visit', 'client.after': 'Photo after the work',
  'client.charged': 'Charged {amount}.', 'client.installed': 'Sewn in: {layers}.', 'client.care': 'Her file', 'client.rename': 'Name', 'client.rename_do': 'Change', 'client.export': 'Export as a file', 'client.forget': 'Forget her',
  'client.forget_title': 'Forget {name}?', 'client.forget_text': 'Her file with all visits and pictures is removed from the book for good. This can’t be taken back.',
  'record.title': 'What was done', 'record.do': 'Record what was done', 'record.installed': 'Sewn in, front first', 'record.installed_hint': 'Codes with commas. What was proposed is filled in.', 'record.why': 'Why that was chosen', 'record.note': 'Add a note',
  'record.charged': 'Charged ({currency})', 'record.after': 'Photo after', 'record.after_hint': 'Drop or choose one.', 'record.save': 'Save this', 'record.sure': 'It is right, save it', 'record.saved': 'Saved.',
  'visit.care': 'Correct this visit', 'visit.delete': 'Delete it', 'visit.deleted': 'The visit is deleted.', 'visit.move': 'Move it to', 'visit.move_to': 'Whose visit it is', 'visit.moved': 'The visit is in {name}’s file now.',
  'visit.undo': 'Undo', 'visit.no_undo': 'There is nothing left to undo.', 'client.renamed': 'Her name is changed.',

  // the catalogue
  'catalogue.none': 'No shade yet', 'catalogue.none_text': 'Take one photo of your swatches beside a gray card or white paper, or load a list of codes and prices.',
  'catalogue.photo': 'From a photo', 'catalogue.photo_text': 'Swatches laid flat in indirect daylight, beside a gray card, white paper or three swatches you know.', 'catalogue.drop': 'Photo of swatches',
  'catalogue.file': 'From a file', 'catalogue.file_text': 'A CSV file: a price list with a column code, or a whole catalogue with code, L, a, b. Semicolons and decimal commas are understood.', 'catalogue.import': 'Load a file', 'catalogue.export': 'Save as a file',
  'catalogue.saved': 'The catalogue is saved.', 'catalogue.imported': { one: '{n} row loaded.', other: '{n} rows loaded.' }, 'catalogue.waiting': { one: '{n} code has no colour yet ({codes}): photograph its swatch, and its price is put beside it.', other: '{n} codes have no colour yet ({codes}): photograph the swatches, and their prices are put beside them.' },
  'catalogue.range': { one: 'Your range: {n} shade', other: 'Your range: {n} shades' },
  'catalogue.gap': 'none', 'catalogue.depth': 'Depth L*', 'catalogue.rows': 'Stock and prices', 'catalogue.rows_text': 'Change a cell and move on: it is saved at once.', 'catalogue.cell': '{column} of {code}',
  'catalogue.remove': 'Remove', 'catalogue.remove_code': 'Remove {code}', 'catalogue.removed': '{code} is removed.', 'catalogue.labels': 'Print labels',
  'tone.cool': 'neutral and ash', 'tone.neutral': 'beige', 'tone.warm': 'warm', 'tone.golden': 'golden',
  'column.code': 'Code', 'column.name': 'Name', 'column.length_cm': 'Length cm', 'column.pieces_per_pack': 'Pieces a pack', 'column.piece_width_cm': 'Piece width cm', 'column.pack_weight_g': 'Pack g', 'column.pack_price': 'Pack price', 'column.supplier': 'Supplier', 'column.stock': 'Packs in stock',
  'rows.title': 'Swatches laid in rows', 'rows.codes': 'Codes, one line for each row', 'rows.hint': 'Then drag one box from the middle of the first swatch to the middle of the last.', 'rows.step': { one: '{n} swatch laid out.', other: '{n} swatches laid out.' },
  'measure.title': 'Swatches of a photo', 'measure.look': 'Measure', 'measure.save': 'Add to the catalogue', 'measure.start': 'Say which swatch is which, once.',
  'measure.start_1': 'Drag a box over the gray card or the white paper (Card), and say which it is.', 'measure.start_2': 'Drag a box over each swatch and type its code; of swatches laid in rows type all codes once.', 'measure.start_3': 'Measure, look at the colours, and add them to the catalogue.',
  'measure.saved': { one: '{n} shade is in the catalogue.', other: '{n} shades are in the catalogue.' }, 'measure.open': 'Open the catalogue',
  'measure.claim.name': 'Good enough to name a shade by.', 'measure.claim.runner_up': 'Good enough to name a shade by, with its runner-up.', 'measure.claim.three': 'Good enough for a short list of three. Three known swatches beside the new ones make it better.',
  'measure.claim.five': 'Good enough for a short list of five. Three known swatches beside the new ones make it better.', 'measure.claim.rough': 'Rough: the shades can be told apart, but their colour is not certain. Hold the shade to her hair before you order.',
  'measure.new': 'new', 'measure.averaged': 'averaged with what was known', 'measure.replaced': 'replaced', 'measure.drifted': 'changed by dE00 {change}: another lot or another label?', 'measure.seen': 'this photo is in the catalogue already', 'measure.kept': 'as it was', 'measure.badly_laid': 'off by dE00 {change}: laid badly, or another swatch; not averaged', 'measure.too_unsure': 'left out: too unlike the swatches on both sheets', 'measure.other_sheet': 'left as it was: measured in another way before',

  // orders
  'orders.coming': 'To order for the coming visits', 'orders.none': 'No visit is coming', 'orders.none_text': 'Once a visit with a plan is saved, what its next one needs beyond your stock stands here.',
  'orders.enough': 'Nothing to order', 'orders.enough_text': 'All that the coming visits need is there.', 'orders.from': 'From {supplier}', 'orders.from_anybody': 'Supplier not named', 'orders.no_day': 'no day agreed', 'orders.today': '{date} is past: order today', 'orders.by_day': '{date}',
  'orders.not_counted': 'not counted', 'orders.price': 'A pack', 'orders.for': 'For', 'orders.visits': 'Coming visits', 'orders.agreed': '{date}, agreed', 'orders.due': 'about {date}', 'orders.again': { one: 'sewn on again, worn at {n} visit', other: 'sewn on again, worn at {n} visits' },
  'orders.new': { one: 'new, {n} pack', other: 'new, {n} packs' }, 'orders.new_unknown': 'new, packs not known', 'orders.from_cut': ', {length} of it from cut lengths', 'orders.lapsed': { one: '{n} client whose next visit is long past is left out.', other: '{n} clients whose next visit is long past are left out.' },
  'kind_of_visit.installation': 'installation', 'kind_of_visit.move-up': 'move-up', 'orders.code': 'Shade', 'orders.needed': 'Needed', 'orders.stock': 'In stock', 'orders.order': 'Packs to order', 'orders.by': 'Order by',
  'orders.arrived': 'Arrived', 'orders.arrived_of': 'The order of {code} has arrived', 'orders.arrived_done': { one: '{n} pack of {code} is in stock.', other: '{n} packs of {code} are in stock.' },
  'recheck.title': 'Would another shade suit your clients better?', 'recheck.text': 'Every saved visit is ranked against the catalogue as it is now.', 'recheck.do': 'Look through all visits', 'recheck.far': { one: '{done} of {n} visit', other: '{done} of {n} visits' }, 'recheck.line': '{best} instead of {held}',
  'recheck.none': 'Nobody would be better served', 'recheck.none_text': { one: '{n} visit was looked at.', other: '{n} visits were looked at.' },

  // the salon
  'salon.settings': 'Settings', 'salon.more': 'All settings', 'salon.save': 'Save settings', 'salon.saved': 'The settings are saved.', 'salon.none': 'none', 'salon.language': 'Language', 'salon.language_label': 'This page speaks', 'salon.language_hint': 'Dates, numbers and money are written the same way. Kept in this browser.',
  'salon.book': 'The book', 'salon.book_at': 'Everything is kept in {file}, on this machine only.', 'salon.no_book': 'There is no book yet. It is made when the first client or setting is saved.', 'salon.copy': 'Make a copy now', 'salon.last_copy': 'The last copy beside it is of {date}.', 'salon.no_copy': 'There is no copy beside it yet.', 'salon.copied': 'A verified copy is in {file}.', 'salon.version': 'weftmatch {version}',
  'setting.salon_name': 'Name of the salon', 'setting.salon_name.hint': 'Shown on reports.', 'setting.currency': 'Currency', 'setting.currency.hint': 'Three letters, such as EUR or USD.', 'setting.units': 'Lengths in', 'setting.row_fee': 'Fee for sewing one row', 'setting.tax_percent': 'Tax in percent', 'setting.moveup_weeks': 'Weeks between move-ups',
  'units.cm': 'centimetres', 'units.in': 'inches',

  // warnings about a photo, by their codes
  'warn.flash_fired': 'The flash fired: switch it off and use indirect daylight.', 'warn.photo_resized': 'The photo is not the size the camera took: send the original, not a messenger’s copy.', 'warn.profile_assumed': 'No colour profile in the file, sRGB is assumed: send the camera’s own file.'
};
