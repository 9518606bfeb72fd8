;;; try.el --- run by ../try in a batch Emacs  -*- lexical-binding: t -*-

;;; Commentary:
;; Opens $WRONG with ferrule-mode and eglot, writes what flymake was given to $SEEN, and looks at faces, indentation and formatting.

;;; Code:

(require 'cl-lib)
(require 'eglot)
(require 'flymake)
(require 'ferrule-mode)

(setq eglot-sync-connect 10
      eglot-autoshutdown t)

(defun try-face (before word)
  "The face of WORD where it follows BEFORE."
  (goto-char (point-min))
  (re-search-forward (concat (string-replace " " "[ \t]+" before) (regexp-quote word)))
  (get-text-property (- (point) (length word)) 'face))

(find-file (getenv "WRONG"))
(cl-assert (eq major-mode 'ferrule-mode))

(font-lock-ensure)
(pcase-dolist (`(,before ,word ,face)
               '(("" "string" font-lock-keyword-face)
                 ("BRK-25P is " "breaker" font-lock-type-face)
                 ("\n " "coldest" font-lock-variable-name-face)
                 ("hottest-cell " "70" nil)
                 ("HOUSE" ".+" font-lock-function-name-face)
                 ("PV-6 " "red" font-lock-constant-face)
                 ("string HOUSE " "is" font-lock-builtin-face)
                 ("revision " "\"D\"" font-lock-string-face)
                 ("" "The homestead, with" font-lock-comment-face)))
  (let ((is (try-face before word)))
    (unless (eq is face) (error "`%s' is shown as %s, should be %s" word is face))))

(let ((text (buffer-string)))
  (indent-region (point-min) (point-max))
  (unless (string= text (buffer-string)) (error "Indenting a design in the house layout changes it"))
  (set-buffer-modified-p nil))

(defun try-wait ()
  "Wait until this buffer has findings."
  (with-timeout (60 (error "No diagnostics came"))
    (while (not (flymake-diagnostics))
      (accept-process-output nil 0.05)
      (flymake-start))))

(call-interactively #'eglot)
(try-wait)

(with-temp-file (getenv "SEEN")
  (let ((seen (with-current-buffer (get-file-buffer (getenv "WRONG"))
                (save-excursion
                  (mapcar (lambda (d)
                            (goto-char (flymake-diagnostic-beg d))
                            (format "%d:%d %s\n" (line-number-at-pos) (1+ (- (point) (line-beginning-position)))
                                    (substring (symbol-name (flymake-diagnostic-type d)) (length "eglot-"))))
                          (flymake-diagnostics))))))
    (mapc #'insert seen)))

(goto-char (point-min))
(re-search-forward "^device QA ")
(insert "   ")
(eglot-format-buffer)
(goto-char (point-min))
(unless (re-search-forward "^device QA +is +SW-32 +in" nil t) (error "Formatting did not mend a line"))
(set-buffer-modified-p nil)

(find-file (getenv "MARKS"))
(try-wait)
(let* ((d (car (flymake-diagnostics)))
       (marked (buffer-substring (flymake-diagnostic-beg d) (flymake-diagnostic-end d))))
  (unless (string= marked "coldst") (error "Behind letters of several bytes, marked is %s" marked)))
(kill-emacs 0)
;;; try.el ends here
