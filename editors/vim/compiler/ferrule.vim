" :compiler ferrule, then :make. The findings go to the quickfix list, errors, warnings and notes told apart.
if exists("current_compiler") | finish | endif
let current_compiler = "ferrule"
CompilerSet makeprg=ferrule\ check\ --color\ never\ %:S
CompilerSet errorformat=%f:%l:%c:\ %trror:\ %m,%f:%l:%c:\ %tarning:\ %m,%f:%l:%c:\ %tote:\ %m,%-G%.%#
