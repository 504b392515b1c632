# Writes the page's style sheet as C, a string a line:
#   awk -f style.awk page.css > style.h
BEGIN {
    print "/* Made by style.awk from page.css: do not edit. */"
    print "static const char *const STYLE[] = {"
}
{
    gsub(/\\/, "\\\\")
    gsub(/"/, "\\\"")
    printf "    \"%s\\n\",\n", $0
}
END { print "};" }
