# The sentences of a language, [['English', 'spoken'], ...] between "export const XX_SENTENCES = [" and "];", as rows of wm_sentence in C.
BEGIN { quote = "\047"; inside = 0; strings = 0 }
/^export const [A-Z]+_SENTENCES = \[$/ { inside = 1; next }
inside && /^\];$/ { inside = 0 }
!inside || /^ *\/\// { next }
{
    text = $0
    while ((at = index(text, quote)) > 0) {
        text = substr(text, at + 1)
        out = ""
        while ((c = substr(text, 1, 1)) != quote) {
            if (c == "") { print "a text is not closed: " $0 > "/dev/stderr"; exit 1 }
            if (c == "\\") { text = substr(text, 2); c = substr(text, 1, 1) }
            out = out (c == "\"" || c == "\\" ? "\\" c : c)
            text = substr(text, 2)
        }
        text = substr(text, 2)
        printf strings++ % 2 ? "\"%s\" },\n" : "{ \"%s\", ", out
    }
}
END { if (strings == 0 || strings % 2) { print "no sentences, or one without its pair" > "/dev/stderr"; exit 1 } }
