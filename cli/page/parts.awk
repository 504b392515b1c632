# A page with its parts: a line that is {{name}} becomes the file name.html of the folder `parts`.
/^\{\{(work|list|keys)\}\}$/ {
    name = $0
    gsub(/[{}]/, "", name)
    file = parts "/" name ".html"
    while ((getline line < file) > 0) print line
    close(file)
    next
}
{ print }
