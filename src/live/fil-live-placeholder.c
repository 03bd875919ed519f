/* replaced by the first real file of this folder */
typedef int fil_live_placeholder;
