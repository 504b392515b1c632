// library_de: what the library says, in German. {a} stands for what stays: a name, a code, a number, or words that are said by another row; {A}
// is one word. The library writes English; a sentence that no row knows is shown as it is.

export const LIBRARY_DE = [
  // how one shade differs from another
  ['lighter', 'heller'], ['darker', 'dunkler'], ['richer', 'kräftiger'], ['softer', 'blasser'], ['warmer', 'wärmer'], ['cooler', 'kühler'], ['more golden', 'goldener'], ['ashier', 'aschiger'], ['redder', 'röter'],
  ['match', 'passt'], ['close', 'nah dran'], ['visible', 'sichtbar'], ['far', 'deutlich'],

  // why this and not that
  ['No other shade in the catalogue could be sewn here', 'Kein anderer Ton im Katalog ließe sich hier nähen'],
  ['A little nearer to her hair than {a}', 'Ihrem Haar etwas näher als {a}'], ['Nearer to her hair than {a}: {b} against {c}', 'Ihrem Haar näher als {a}: {b} gegen {c}'],
  ['A little farther from her hair than {a}', 'Ihrem Haar etwas ferner als {a}'], ['Farther from her hair than {a}: {b} against {c}', 'Ihrem Haar ferner als {a}: {b} gegen {c}'],
  ['Fewer pieces to cut and sew than with {a}: {b} against {c}', 'Weniger Stücke zu schneiden und zu nähen als mit {a}: {b} gegen {c}'], ['More pieces to cut and sew than with {a}: {b} against {c}', 'Mehr Stücke zu schneiden und zu nähen als mit {a}: {b} gegen {c}'],
  ['As near as {a}, and in stock', 'So nah wie {a}, und vorrätig'], ['As near as {a}, but not in stock', 'So nah wie {a}, aber nicht vorrätig'], ['As near as {a}, from shades nearer to her own colours', 'So nah wie {a}, aus Tönen näher an ihren eigenen Farben'],
  ['As near as {a}, from shades farther from her own colours', 'So nah wie {a}, aus Tönen ferner von ihren eigenen Farben'], ['As near as {a}, and cheaper', 'So nah wie {a}, und günstiger'], ['As near as {a}, but dearer', 'So nah wie {a}, aber teurer'],
  ['{a} would do as well', '{a} täte es auch'], ['As good as {a}', 'So gut wie {a}'],
  ['no shade within 5 of her base: the nearest, {a}, is {b} away ({c})', 'kein Ton näher als 5 an ihrer eigenen Farbe: der nächste, {a}, ist {b} entfernt ({c})'], ['no shade within 5 of her gray: the nearest, {a}, is {b} away ({c})', 'kein Ton näher als 5 an ihrem Grau: der nächste, {a}, ist {b} entfernt ({c})'],
  ['no shade within 5 of her base', 'kein Ton näher als 5 an ihrer eigenen Farbe'], ['no shade within 5 of her gray', 'kein Ton näher als 5 an ihrem Grau'], ['wanted about L {a}, a {b}, b {c}', 'gesucht etwa L {a}, a {b}, b {c}'],
  ['what it is for (assumed: gray coverage)', 'wofür es ist (angenommen: Grau decken)'], ['how thick her single hairs are (assumed: medium)', 'wie dick ihre einzelnen Haare sind (angenommen: mittel)'],
  ['how much hair she has (assumed: average)', 'wie viel Haar sie hat (angenommen: normal)'], ['the row from ear to ear (assumed: {a} round the back)', 'die Reihe von Ohr zu Ohr (angenommen: {a} hinten herum)'],
  ['a sharper photo of {a}, where the gray can\'t be told (assumed: none)', 'ein schärferes Foto von {a}, wo sich das Grau nicht angeben lässt (angenommen: keines)'],
  ['{a}, to work out how much hair she needs (assumed: {b} layer)', '{a}, um zu wissen, wie viel Haar sie braucht (angenommen: {b} Lage)'], ['{a}, to work out how much hair she needs (assumed: {b} layers)', '{a}, um zu wissen, wie viel Haar sie braucht (angenommen: {b} Lagen)'],
  ['the row from ear to ear', 'die Reihe von Ohr zu Ohr'], ['the weight of a pack to the catalogue', 'das Gewicht einer Packung im Katalog'], ['the length of her own hair', 'die Länge ihres eigenen Haars'],
  ['This weft is too heavy for her hair: one layer hangs {a} mg on each held hair, and the limit is {b}. Nothing is to be sewn until a weft of at most {c} g per cm is chosen', 'Diese Tresse ist zu schwer für ihr Haar: eine Lage hängt mit {a} mg an jedem gehaltenen Haar, die Grenze ist {b}. Es wird nichts genäht, bis eine Tresse mit höchstens {c} g je cm gewählt ist'],
  ['she wears it already, and nothing else is better by a clear margin', 'sie trägt es schon, und nichts anderes ist deutlich besser'], ['what she wears is no longer the best by a clear margin', 'was sie trägt, ist nicht mehr deutlich das Beste'],

  // what changes with more gray
  ['from about {a} % gray at {b}: {c}', 'ab etwa {a} % Grau an {b}: {c}'], ['from about {a} % gray the difference is {b}', 'ab etwa {a} % Grau ist der Unterschied {b}'], ['there the difference is {a}', 'dort ist der Unterschied {a}'],
  ['and no shade in the catalogue would put that right', 'und kein Ton im Katalog würde das ändern'], ['{a} would be close again', '{a} wäre wieder nah dran'], ['nothing changes', 'es ändert sich nichts'],
  ['at both sides {a}', 'an beiden Seiten {a}'], ['at the crown {a}', 'am Oberkopf {a}'], ['at the nape {a}', 'im Nacken {a}'], ['at the back {a}', 'hinten {a}'], ['on the side of {a} {b}', 'auf der Seite von {a} {b}'],
  ['the layer', 'der Lage'], ['the front layer', 'der vorderen Lage'], ['the back layer', 'der hinteren Lage'], ['the inner layer', 'der inneren Lage'],
  ['a sixth', 'einem Sechstel'], ['a third', 'einem Drittel'], ['half', 'der Hälfte'], ['two thirds', 'zwei Dritteln'], ['five sixths', 'fünf Sechsteln'], ['all', 'allem'], ['none', 'nichts'],

  // since her last visit
  ['no measurable change', 'keine messbare Änderung'], ['gray: no measurable change', 'Grau: keine messbare Änderung'], ['gray up by about {a} points', 'Grau etwa {a} Punkte mehr'], ['gray down by about {a} points', 'Grau etwa {a} Punkte weniger'],

  // cautions
  ['Extensions pull: on thin, fine or shedding hair think twice; sudden or patchy hair loss is for a doctor to look at first', 'Verlängerungen ziehen: bei dünnem, feinem oder ausfallendem Haar zweimal überlegen; plötzlichen oder fleckigen Haarausfall soll zuerst eine Ärztin ansehen'],
  ['Pain, itching or redness at the row: take it out, and let a doctor see it if it stays', 'Schmerz, Jucken oder Rötung an der Reihe: herausnehmen, und wenn es bleibt, eine Ärztin ansehen lassen'],
  ['Sew rows only as licensed practice and the local codes allow', 'Reihen nur nähen, wie Berufszulassung und örtliche Vorschriften es erlauben'],
  ['Too heavy: {a} mg on each hair that holds the row; the limit is {b} mg, our own convention and not a measured bound. Leave out a layer or take a lighter weft', 'Zu schwer: {a} mg an jedem Haar, das die Reihe hält; die Grenze ist {b} mg, unsere eigene Vereinbarung und kein Messwert. Eine Lage weglassen oder eine leichtere Tresse nehmen'],
  ['Load: it can\'t be worked out without the weight and pieces of a pack. Weigh a piece in your hand before it is sewn on', 'Last: ohne Gewicht und Stückzahl einer Packung nicht zu berechnen. Vor dem Annähen ein Stück in der Hand wiegen'],
  ['Too little hair for {a}: {b} g short. Plan another row, or tell her before you begin', 'Zu wenig Haar für {a}: es fehlen {b} g. Eine weitere Reihe planen oder es ihr vorher sagen'],
  ['the length she wants', 'die gewünschte Länge'], ['the volume she wants', 'die gewünschte Fülle'], ['the gray to be covered', 'das Grau, das gedeckt werden soll'],
  ['Traction: {a} hair gives way sooner under a steady pull. Take enough hair into each bead, keep off weak and thinning places, and rather sew too little than too much', 'Zug: {a} Haar gibt unter stetigem Zug eher nach. Genug Haar in jeden Ring nehmen, schwache und lichter werdende Stellen frei lassen, lieber zu wenig nähen als zu viel'],
  ['thin', 'dünnes'], ['fine, thin', 'feines, dünnes'], ['fine', 'feines'],
  ['Traction: the hair sheds more than usual, and a row pulls on every hair that it hangs on. Wait until the shedding has calmed, or leave thinning places out', 'Zug: das Haar fällt stärker aus als sonst, und eine Reihe zieht an jedem Haar, an dem sie hängt. Warten, bis es sich beruhigt hat, oder lichter werdende Stellen auslassen'],
  ['Sudden or patchy loss of hair is for a doctor to look at first, before anything is sewn on', 'Plötzlichen oder fleckigen Haarausfall soll zuerst eine Ärztin ansehen, bevor etwas angenäht wird'],
  ['Three layers are bulky: see that they lie flat behind the ears and at the nape, with the hair up too', 'Drei Lagen tragen auf: sie müssen hinter den Ohren und im Nacken flach liegen, auch mit hochgestecktem Haar'],
  ['{a} is not stocked long enough: it ends {b} short of the length wanted', '{a} gibt es nicht lang genug: es endet {b} über der gewünschten Länge'],
  ['The catalogue doesn\'t say how wide the pieces of {a} are or how many are in a pack: count them before you order', 'Im Katalog steht nicht, wie breit die Stücke von {a} sind oder wie viele in einer Packung: vor dem Bestellen zählen'],
  ['{a} is not to be cut, and this design needs it in pieces. Take a weft of that shade that may be cut', '{a} darf nicht geschnitten werden, wird hier aber in Stücken gebraucht. Eine Tresse dieses Tons nehmen, die geschnitten werden darf'],
  ['{a} is folded, not cut: over {b} altogether it lies {c}, thicker (its optical thickness of {d} becomes {e}) and heavier. The blend was judged for single layers: look at it where the fold lies', '{a} wird gefaltet, nicht geschnitten: auf {b} liegt es {c}, dicker (optische Dicke {d} statt {e}) und schwerer. Beurteilt wurde die Mischung für einfache Lagen: an der Falte ansehen'],
  ['double', 'doppelt'], ['several times', 'mehrfach'],
  ['{a} is joined in {b} place: lay the ends edge to edge, never over each other', '{a} wird an {b} Stelle angesetzt: die Enden Kante an Kante legen, nie übereinander'], ['{a} is joined in {b} places: lay the ends edge to edge, never over each other', '{a} wird an {b} Stellen angesetzt: die Enden Kante an Kante legen, nie übereinander'],
  ['No length is given: the shortest stocked is planned. Measure from the row down before you order', 'Keine Länge angegeben: geplant ist die kürzeste vorrätige. Vor dem Bestellen von der Reihe abwärts messen'],
  ['The wanted length ({a}) ends above the natural hair ({b}): the row\'s edge will show in it', 'Die gewünschte Länge ({a}) endet über dem eigenen Haar ({b}): die Kante der Reihe wird darin zu sehen sein'],
  ['The quote is not complete: {a}', 'Der Preis ist nicht vollständig: {a}'], ['no fee per row is set (`salon set row_fee={a}`)', 'der Preis je Reihe fehlt (Salon, Einstellungen)'], ['the price or the number of packs of a shade is not known', 'Preis oder Zahl der Packungen eines Tons ist nicht bekannt'],
  ['{a} weeks to the move-up are long: grown-out hair twists and mats under the beads', '{a} Wochen bis zum Hochsetzen sind lang: herausgewachsenes Haar verdreht und verfilzt unter den Ringen'],
  ['Old colour grows out: root, mid-length and ends will differ, that is not a bad match. The line is {a} from the scalp{b}', 'Alte Farbe wächst heraus: Ansatz, Längen und Spitzen werden verschieden sein, das ist kein schlechter Ton. Die Grenze ist {a} von der Kopfhaut{b}'],
  ['Beads pressed to the scalp and hairs crossed between beads pull and chafe: move the bead or free the hair before you sew', 'Ringe, die auf die Kopfhaut drücken, und Haare, die zwischen Ringen kreuzen, ziehen und scheuern: vor dem Nähen den Ring versetzen oder das Haar befreien'],
  ['Where a product touches skin (cleanser, spray, remover), try it on her skin two days before', 'Was die Haut berührt (Reiniger, Spray, Löser), zwei Tage vorher an ihrer Haut prüfen'],
  ['Photos and measurements are hers: take and keep them with her consent alone. At the next visit photograph her with the old row out, or mark the zones above it', 'Fotos und Messwerte gehören ihr: nur mit ihrer Einwilligung aufnehmen und behalten. Beim nächsten Besuch mit herausgenommener Reihe fotografieren oder die Zonen darüber markieren'],
  ['Pain, itching, burning or redness means that the row comes out, at once and not at the move-up; if it stays, a doctor should see it', 'Bei Schmerz, Jucken, Brennen oder Rötung kommt die Reihe heraus, sofort und nicht erst beim Hochsetzen; bleibt es, soll eine Ärztin es ansehen'],

  // the work list
  ['Feel the shape of the head, then comb the hair over the place of the row, down and up: it has to cover the row from every side. Stay {a} off the hairline at both ends', 'Die Form des Kopfes fühlen, dann das Haar über die Stelle der Reihe kämmen, offen und hoch: es muss die Reihe von allen Seiten decken. An beiden Enden {a} vom Haaransatz wegbleiben'],
  ['Draw clean partings: {a}', 'Saubere Scheitel ziehen: {a}'], ['Take up {a}, each combed smooth and held flat to the head', '{a} aufnehmen, jede glatt gekämmt und flach am Kopf gehalten'],
  ['{a} section of {b}', '{a} Partie von {b}'], ['{a} sections of about {b}', '{a} Partien von etwa {b}'], ['{a} (row {b})', '{a} (Reihe {b})'],
  ['Keep fly-aways and baby hairs out of the beads, and let no hair cross over to the next bead', 'Fliegende und feine Härchen aus den Ringen halten, kein Haar darf zum nächsten Ring hinüberlaufen'],
  ['Set silicone-lined beads in shade {a}: {b}, one every {c}, at the base of the hair but not on the scalp. Keep {d} in reserve', 'Silikonringe im Ton {a} setzen: {b}, einen alle {c}, am Haaransatz, aber nicht auf der Kopfhaut. {d} als Reserve'],
  ['Set silicone-lined beads: {b}, one every {c}, at the base of the hair but not on the scalp. Keep {d} in reserve', 'Silikonringe setzen: {b}, einen alle {c}, am Haaransatz, aber nicht auf der Kopfhaut. {d} als Reserve'],
  ['Cut {a}: {b} strips from {c} pieces, by the cutting list{d}', '{a} schneiden: {b} Streifen aus {c} Stücken, nach der Schnittliste{d}'], ['Cut {a}: {b}; {c} are left over', '{a} schneiden: {b}; {c} bleiben übrig'], ['Cut {a}: {b}', '{a} schneiden: {b}'], ['piece {a} into {b}', 'Stück {a} in {b}'], ['{a} are left over', '{a} bleiben übrig'],
  ['Measure off {a} of {b}; count the pieces that it takes', '{a} von {b} abmessen; die Stücke zählen, die es braucht'], ['{a}: {b} whole piece, not cut', '{a}: {b} ganzes Stück, nicht geschnitten'], ['{a}: {b} whole pieces, not cut', '{a}: {b} ganze Stücke, nicht geschnitten'], ['fold {a} back into the row', '{a} in die Reihe zurückfalten'],
  ['Row {A}', 'Reihe {A}'], ['Sew the layer, from the left: {a}', 'Die Lage von links nähen: {a}'], ['Sew from the head outwards, each layer from the left', 'Vom Kopf nach außen nähen, jede Lage von links'],
  ['Back layer: {a}', 'Hintere Lage: {a}'], ['Front layer: {a}', 'Vordere Lage: {a}'], ['Inner layer: {a}', 'Innere Lage: {a}'], ['{a} joined on', '{a} angesetzt'],
  ['Cut to {a} from the row, as wanted{b}', 'Auf {a} ab der Reihe schneiden, wie gewünscht{b}'], ['Cut just below the natural length of {a}', 'Knapp unter der eigenen Länge von {a} schneiden'], ['Cut just below the natural length', 'Knapp unter der eigenen Länge schneiden'], ['the natural hair ends at {a}', 'das eigene Haar endet bei {a}'], ['About {a} come off {b}', 'Von {b} fallen etwa {a} weg'],
  ['Cut {a} of thread and use it doubled, {b} to work with. Stitch to the left and right of each bead, never through it', '{a} Faden abschneiden und doppelt nehmen, {b} zum Arbeiten. Links und rechts von jedem Ring stechen, nie hindurch'], ['Cut the thread, {a}, and use it doubled. Stitch to the left and right of each bead, never through it', 'Den Faden abschneiden, {a}, und doppelt nehmen. Links und rechts von jedem Ring stechen, nie hindurch'],
  ['Sew flat right to both edges: nothing may stick out at the ends', 'Bis an beide Ränder flach nähen: an den Enden darf nichts abstehen'], ['Soften the edge with texturising shears until new and natural hair run into each other', 'Die Kante mit der Modellierschere weich machen, bis neues und eigenes Haar ineinander laufen'],
  ['Finish: a texture spray takes down the shine of new hair; only then style it', 'Zum Schluss: ein Texturspray nimmt neuem Haar den Glanz; erst dann stylen'], ['Now judge the blend. With her consent, photograph it down and up in the same daylight as before', 'Jetzt den Übergang beurteilen. Mit ihrer Einwilligung offen und hoch fotografieren, bei demselben Tageslicht wie vorher'],

  // aids that were not used
  ['contradicts the other aids', 'widerspricht den anderen Hilfen'],

  // before a visit is saved, and orders
  ['this photo is visit {a} of {b} already; say that it is to be saved once more', 'dieses Foto ist schon Besuch {a} von {b}'], ['this photo is visit {a} of {b} already', 'dieses Foto ist schon Besuch {a} von {b}'],
  ['the visit is of {a}, which is still to come', 'der Besuch ist vom {a}, das kommt erst noch'], ['the visit is of {a}, before her last one of {b}', 'der Besuch ist vom {a}, vor ihrem letzten vom {b}'], ['the photo was taken on {a} and the visit is of {b}', 'das Foto ist vom {a} und der Besuch vom {b}'],
  ['her hair is up to dE00 {a} from her last visit\'s, far more than the photos\' uncertainty', 'ihr Haar ist bis zu dE00 {a} anders als beim letzten Besuch, weit mehr als die Unsicherheit der Fotos'], ['was it coloured, or is it another client\'s photo?', 'wurde es gefärbt, oder ist es das Foto einer anderen Kundin?'],
  ['what is charged is far from her last price', 'der Betrag weicht weit von ihrem letzten ab'], ['no row is planned: match with --arc tells what it takes', 'keine Reihe ist geplant: mit ihrem Bogen sagt die Beratung, was es braucht'],

  // refusals
  ['the catalogue was changed meanwhile; load it again, then make your change', 'der Katalog wurde inzwischen geändert; neu laden, dann ändern'], ['the catalogue has no shade \'{a}\'; did you mean \'{b}\'?', 'der Katalog hat keinen Ton „{a}“; ist „{b}“ gemeint?'],
  ['the catalogue has no shade \'{a}\'; see weftmatch swatch list', 'der Katalog hat keinen Ton „{a}“'],
  ['the catalogue has no \'{a}\' of that length; see weftmatch swatch list', 'der Katalog hat „{a}“ nicht in dieser Länge'],
  ['the catalogue has \'{a}\' in {b} lengths; say which (--length)', 'der Katalog hat „{a}“ in {b} Längen; sagen Sie, welche'], ['there is no such photo in the folder', 'dieses Foto liegt nicht im Ordner'],
  ['this photo is no longer open; open it again, your marks are kept', 'dieses Foto ist nicht mehr offen; neu öffnen, die Marken bleiben'], ['this answer has not been shown of this photo; look at it, then save', 'diese Antwort wurde zu diesem Foto nicht gezeigt; ansehen, dann speichern'], ['nobody is named whose visit this is; choose a client', 'niemand ist genannt, wessen Besuch das ist; eine Kundin wählen'],
  ['the answer has changed since it was shown (catalogue, settings or her file); look at it again, then save', 'die Antwort hat sich inzwischen geändert (Katalog, Einstellungen oder ihre Akte); noch einmal ansehen, dann speichern'],
  ['the visit has none', 'der Besuch hat keines'], ['\'{a}\' is too long; at most {b} bytes', '„{a}“ ist zu lang; höchstens {b} Bytes'], ['the day can\'t be \'{a}\'; give one such as {b}', 'der Tag kann nicht „{a}“ sein; zum Beispiel {b}'], ['the visit has no plan; give the arc of the row to get dates', 'der Besuch hat keinen Plan; mit dem Bogen der Reihe gibt es Termine'],
  ['currency can\'t be \'{a}\'; give an ISO 4217 code of three capital letters such as EUR', 'die Währung kann nicht „{a}“ sein; drei Großbuchstaben wie EUR'], ['{a} can\'t be \'{b}\'; give {c}', '{a} kann nicht „{b}“ sein; möglich: {c}'], ['a whole number from {a} to {b}', 'eine ganze Zahl von {a} bis {b}'], ['a number from {a} to {b}', 'eine Zahl von {a} bis {b}'],

  // settings that have no words of their own on the page
  ['distance of beads along the row', 'Abstand der Ringe in der Reihe'], ['beads in reserve', 'Ringe als Reserve in Prozent'], ['kept free at each end of the arc', 'frei gelassen an jedem Ende des Bogens'], ['row widths of thread added, least,most', 'Faden zusätzlich, in Reihenbreiten: mindestens,höchstens'],
  ['visits a weft is sewn on at, then replaced', 'Besuche, bei denen eine Tresse angenäht wird, dann neu'], ['days from an order until it is there', 'Tage von der Bestellung bis zur Lieferung'], ['dE00 limits: match,close,visible', 'Grenzen in dE00: passt,nah dran,sichtbar'], ['visible area of the stack: intact,moved,edge', 'sichtbarer Anteil der Lagen: ruhig,bewegt,Kante'],
  ['fee for moving up one row, or none', 'Preis für das Hochsetzen einer Reihe'], ['fee for taking out one row, or none', 'Preis für das Herausnehmen einer Reihe'], ['fee for a consultation, or none', 'Preis für eine Beratung'],
  ['of the quote, when the day is agreed', 'Anzahlung vom Preis, wenn der Tag vereinbart ist'], ['days that a quote holds', 'Tage, die ein Preis gilt'], ['codes that are never proposed, with commas', 'Codes, die nie vorgeschlagen werden, mit Komma'],
  ['layers in one row, 1 to 3', 'Lagen in einer Reihe, 1 bis 3'], ['light in hair; blend --calibrate fits it', 'Licht im Haar; aus eigenen Proben zu bestimmen'], ['most that each held hair carries, medium hair', 'was jedes gehaltene Haar höchstens trägt, mittleres Haar'], ['largest photo', 'größtes Foto in Megapixeln'], ['largest photo file', 'größte Fotodatei in MiB'],

  // what fits many: last
  ['{A} and {B}', '{A} und {B}'], ['{A} to {B} {C}', '{A} bis {B} {C}'], ['{a} alone', '{a} allein'], ['the rest {a}', 'sonst {a}'], ['{a} over {b} of {c}', '{a} auf {b} von {c}'], ['{a} in {b}', '{a} in {b}']
];
